// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/kinds/radar/radar.h"

#include <QFontMetricsF>
#include <QPainter>
#include <cmath>
#include <numbers>

#include "app/desk/kinds/kind.h"

namespace moundwork::desk {
namespace {

QStringList describe(const session::Session& session) {
  return session.radar ? QStringList{radar_words(*session.radar)} : QStringList();
}

void reach_way(const session::Session& session, Extent& x, Extent& y) {
  if (!session.radar) return;
  const Eigen::Vector3d& at = session.radar->position;
  x.take_in(at.x() + 1.0);
  x.take_in(at.x() - 1.0);
  y.take_in(at.y() + 0.4);
  y.take_in(at.y() - 0.4);
}

void draw_way(const session::Session& session, const StationView& view) {
  if (!session.radar) return;
  QPainter& painter = view.painter;
  const QFontMetricsF metrics(painter.font());
  const Eigen::Vector3d& at = session.radar->position;
  const QPointF radar = view.at(at.x(), at.y());
  painter.setPen(view.look.pen(Role::typed_mark, 1.6));
  painter.drawLine(radar, view.at(0.0, 0.0));
  painter.setPen(QPen(view.look.ink, 1.2));
  painter.setBrush(view.look.colour(Role::typed_mark));
  painter.drawEllipse(radar, 6.0, 6.0);
  const double above = at.y() >= 0.0 ? 1.0 : -1.0;
  const QString name = QStringLiteral("radar");
  view.words(radar + QPointF(-metrics.horizontalAdvance(name), -above * metrics.height()), name,
             view.look.ink);
}

}  // namespace

QString radar_words(const session::Radar& radar) {
  const Eigen::Vector3d& at = radar.position;
  const QString side =
      at.y() >= 0.0 ? QStringLiteral("first-base side") : QStringLiteral("third-base side");
  return QStringLiteral("Radar: %1 %2 the rubber, %3 to the %4, %5 high, %6° off the line")
      .arg(metres(std::abs(at.x())),
           at.x() >= 0.0 ? QStringLiteral("in front of") : QStringLiteral("behind"),
           metres(std::abs(at.y())), side, metres(at.z()))
      .arg(std::atan2(std::abs(at.y()), std::abs(at.x())) * 180.0 / std::numbers::pi, 0, 'f', 1);
}

const ShownKind& radar_shown();
const ShownKind& radar_shown() {
  static const ShownKind kind{
      "radar",
      QStringLiteral("ready, no reading yet"),
      QStringLiteral("ready, 1 reading"),
      QStringLiteral("ready, %1 readings"),
      QStringLiteral("sends %1 lines that are no readings. Compare the line pattern and the baud "
                     "rate in the station file with what it prints."),
      describe,
      reach_way,
      draw_way,
      {},
      {}};
  return kind;
}

}  // namespace moundwork::desk
