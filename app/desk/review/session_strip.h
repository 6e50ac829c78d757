// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <qcustomplot.h>

#include <vector>

#include "app/desk/look/look.h"
#include "app/desk/review/throws_in_memory.h"

namespace moundwork::desk {

/// The whole session in one low strip: each plate's vertical force in its foot's colour, and a tick
/// for each throw that can be clicked. Wheel and drag look closer.
class SessionStrip : public QCustomPlot {
  Q_OBJECT
 public:
  struct Tick {
    int number = 0;
    double contact = 0.0;  ///< session time, s
    bool excluded = false;
  };

  explicit SessionStrip(QWidget* parent = nullptr);
  void set_picture(const SessionPicture* picture, const Look& look);  ///< null: nothing to draw
  void set_ticks(std::vector<Tick> ticks, int shown);

 Q_SIGNALS:
  void throw_chosen(int number);

 protected:
  void mouseReleaseEvent(QMouseEvent* event) override;
  void mousePressEvent(QMouseEvent* event) override;
  void resizeEvent(QResizeEvent* event) override;

 private:
  void draw_picture();
  void draw_ticks();

  const SessionPicture* picture_ = nullptr;
  Look look_;
  std::vector<Tick> ticks_;
  int shown_ = 0;
  QPointF pressed_;
};

}  // namespace moundwork::desk
