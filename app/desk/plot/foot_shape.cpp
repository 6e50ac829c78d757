// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/plot/foot_shape.h"

#include <array>
#include <cmath>

namespace moundwork::desk {
namespace {

/// Half widths of a sole as shares of its length, on the side that faces home and on the other
/// (drawn by eye).
struct Breadth {
  double along, home, rubber;
};
constexpr std::array<Breadth, 11> breadths{{{0.00, 0.015, 0.015},
                                            {0.03, 0.075, 0.075},
                                            {0.10, 0.112, 0.115},
                                            {0.20, 0.118, 0.127},
                                            {0.35, 0.100, 0.135},
                                            {0.50, 0.098, 0.148},
                                            {0.65, 0.142, 0.167},
                                            {0.77, 0.172, 0.166},
                                            {0.88, 0.160, 0.132},
                                            {0.96, 0.105, 0.070},
                                            {1.00, 0.030, 0.015}}};

/// Shares of the sole's length at which the line's ends lie. Where the weight rests on heel and
/// toes is inside the sole (from memory: heel bone's middle near 0.14, between the balls and the
/// toes' tips near 0.84); measured ends are the sole's own.
struct Ends {
  double heel, toe;
};
Ends ends_of(session::FootLineSource source) {
  return source == session::FootLineSource::stances ? Ends{0.14, 0.84} : Ends{0.0, 1.0};
}

/// Cuts every corner at a quarter of its sides (Chaikin 1974): a smooth outline from a few points.
QPolygonF rounded(const QPolygonF& closed) {
  QPolygonF round;
  for (qsizetype i = 0; i + 1 < closed.size(); ++i) {
    round << 0.75 * closed[i] + 0.25 * closed[i + 1];
    round << 0.25 * closed[i] + 0.75 * closed[i + 1];
  }
  round << round.front();
  return round;
}

}  // namespace

QPolygonF sole_outline(const session::FootLine& line) {
  const QPointF heel(line.heel.x(), line.heel.y()), toe(line.toe.x(), line.toe.y());
  const Ends ends = ends_of(line.source);
  const QPointF whole = (toe - heel) / (ends.toe - ends.heel);
  const QPointF back = heel - ends.heel * whole;
  // The inner side faces home, whichever the hand.
  QPointF home(-whole.y(), whole.x());
  if (home.x() < 0.0) home = -home;
  QPolygonF outline;
  for (const Breadth& b : breadths) outline << back + b.along * whole + b.home * home;
  for (auto b = breadths.rbegin(); b != breadths.rend(); ++b)
    outline << back + b->along * whole - b->rubber * home;
  outline << outline.front();
  return rounded(rounded(outline));
}

double along_foot(const session::FootLine& line, const QPointF& point) {
  const QPointF heel(line.heel.x(), line.heel.y());
  const QPointF along = QPointF(line.toe.x(), line.toe.y()) - heel;
  return 100.0 * QPointF::dotProduct(point - heel, along) / QPointF::dotProduct(along, along);
}

session::FootLine customary_foot(session::Hand hand, double length) {
  const double toe_side = hand == session::Hand::right ? -1.0 : 1.0;
  session::FootLine line;
  line.heel = {0.18 * length, -0.5 * toe_side * length, 0.0};
  line.toe = {0.18 * length, 0.5 * toe_side * length, 0.0};
  line.source = session::FootLineSource::foot_length;
  return line;
}

}  // namespace moundwork::desk
