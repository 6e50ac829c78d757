// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/plot/foot_shape.h"

#include "core/summary/sole.h"

namespace moundwork::desk {

QPolygonF sole_outline(const session::FootLine& line) {
  const QPointF heel(line.heel.x(), line.heel.y()), toe(line.toe.x(), line.toe.y());
  const QPointF along = toe - heel;
  // The inner side faces home, whichever the hand.
  QPointF home(-along.y(), along.x());
  if (home.x() < 0.0) home = -home;
  QPolygonF outline;
  for (const summary::SolePoint& point : summary::sole_outline(line.source))
    outline << heel + point.along * along + point.inner * home;
  return outline;
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
