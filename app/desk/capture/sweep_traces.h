// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QElapsedTimer>
#include <QPixmap>
#include <QWidget>
#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "app/desk/capture/sweep_scale.h"
#include "app/desk/look/look.h"
#include "app/desk/state/preferences.h"
#include "drivers/recorder/live_feet.h"

class QPainter;

namespace moundwork::desk {

/// The last seconds of both feet: throwing line, sideways and vertical, one above another. Only
/// what is new is drawn, on a picture that is kept, so that sixty frames a second cost little.
class SweepTraces : public QWidget {
  Q_OBJECT
 public:
  explicit SweepTraces(const Look& look, QWidget* parent = nullptr);

  void set_look(const Look& look);
  /// `mass` of the athlete, kg; NaN shows newtons.
  void set_units(const Preferences& preferences, double mass);
  void clear();

  /// How far back the next feet must reach, s.
  [[nodiscard]] double wanted_span() const;
  [[nodiscard]] double whole_span() const { return time_.span; }
  void take(const drivers::LiveFeet& feet);
  /// The end of a recording: stays on the screen, whatever the size.
  void hold(drivers::LiveFeet last);
  /// A line with its number where a throw's lead foot came down (session time, s).
  void mark_throw(double contact, int number);

  [[nodiscard]] QSize sizeHint() const override;
  [[nodiscard]] QSize minimumSizeHint() const override;

 protected:
  void paintEvent(QPaintEvent* event) override;
  void resizeEvent(QResizeEvent* event) override;

 private:
  static constexpr std::size_t panel_count = 3;
  struct Pen {                     // where a foot's lines have come to
    std::optional<double> origin;  // session time of bin 0
    std::int64_t next_bin = 0;
    std::optional<QPointF> last[panel_count];
  };
  struct Mark {
    double time;
    int number;
  };

  void begin_anew();
  void make_ground();
  void wipe(QPainter& painter, double from, double to);
  /// Returns the earliest moment of what it drew.
  double draw(QPainter& painter, const drivers::LiveTrace& foot, Pen& pen, double oldest);
  void draw_mark(QPainter& painter, const Mark& mark);
  [[nodiscard]] QRectF panel(std::size_t axis) const;
  [[nodiscard]] double x_at(double time) const;
  void redraw_between(double from, double to);

  Look look_;
  ForceUnit force_ = ForceUnit::newton;
  double mass_;
  SweepTime time_;
  std::array<ForceScale, panel_count> scales_;
  QPixmap ground_, canvas_;
  std::array<Pen, 2> pens_;  // back, lead
  double newest_ = 0.0;      // session time of the head
  bool anew_ = true;
  std::vector<Mark> marks_;
  std::optional<drivers::LiveFeet> held_;
  QElapsedTimer since_;
};

}  // namespace moundwork::desk
