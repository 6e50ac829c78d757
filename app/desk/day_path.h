// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QStringList>
#include <QWidget>
#include <vector>

class QToolButton;

namespace moundwork::desk {

/// The day from left to right: one stop a page, on a line that falls like a mound from the rubber
/// toward home. Stops are buttons, so keyboard and screen readers have them.
class DayPath : public QWidget {
  Q_OBJECT
 public:
  explicit DayPath(const QStringList& stops, QWidget* parent = nullptr);
  void go_to(int stop);
  [[nodiscard]] int stop() const { return stop_; }

 Q_SIGNALS:
  void stop_chosen(int stop);

 protected:
  void paintEvent(QPaintEvent* event) override;

 private:
  std::vector<QToolButton*> buttons_;
  int stop_ = 0;
};

}  // namespace moundwork::desk
