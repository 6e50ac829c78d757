// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>
#include <optional>

#include "core/session/cue_order.h"

class QLabel;
class QPushButton;
class QSpinBox;

namespace moundwork::desk {

/// What is due for the next throw: "Throw 3 of 24: heel". Empty where no order runs.
[[nodiscard]] QString due_words(const std::optional<session::DrawnCue>& next);

/// Asks for an order of the cue in the field above, drawn by chance, and shows what is due next.
/// Writes nothing.
class CueOrderLine : public QWidget {
  Q_OBJECT
 public:
  explicit CueOrderLine(QWidget* parent = nullptr);

  /// An order can be drawn while a recording runs, which keeps it.
  void show_due(bool recording, const std::optional<session::DrawnCue>& next);
  void draw();
  /// Keys go to one of the number fields.
  [[nodiscard]] bool typing() const;

 Q_SIGNALS:
  void order_wanted(int throws, int run);

 private:
  QPushButton* draw_;
  QSpinBox* throws_;
  QSpinBox* run_;
  QLabel* due_;
};

}  // namespace moundwork::desk
