// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>
#include <array>
#include <optional>
#include <vector>

#include "core/marks/frame_marks.h"

class QDoubleSpinBox;
class QLabel;
class QLineEdit;
class QPushButton;

namespace moundwork::desk {

/// When the coach wants to see each mark, kept with the user's choices; none where nobody said, and
/// then nobody is early or late.
using WantedTimes = std::array<std::optional<marks::WantedTime>, marks::body_mark_count>;
[[nodiscard]] WantedTimes load_wanted_times();
void save_wanted_times(const WantedTimes& wanted);

/// Moments read off a high-speed video or a worn sensor, by frame, and what the coach makes of
/// their times.
class MarksPanel : public QWidget {
  Q_OBJECT
 public:
  explicit MarksPanel(QWidget* parent = nullptr);

  void show_marks(const std::vector<marks::FrameMark>& marks);
  void set_usable(bool usable);

 Q_SIGNALS:
  void mark_given(const marks::FrameMark& mark);
  void mark_taken_away(marks::BodyMark mark);
  void table_wanted();  ///< "Import marks…"
  void refused(const Error& error);

 private:
  struct Row {
    QDoubleSpinBox* frame = nullptr;
    QLabel* says = nullptr;
    QLineEdit* from = nullptr;  // ms
    QLineEdit* to = nullptr;
    QPushButton* remove = nullptr;
  };
  void give(marks::BodyMark mark);
  void say();
  void keep_wanted() const;
  [[nodiscard]] static std::optional<marks::WantedTime> wanted_in(const Row& row);

  QDoubleSpinBox* contact_frame_;
  QDoubleSpinBox* rate_;
  std::array<Row, marks::body_mark_count> rows_;
  std::vector<marks::FrameMark> marks_;
};

}  // namespace moundwork::desk
