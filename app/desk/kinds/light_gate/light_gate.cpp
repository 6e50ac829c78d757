// SPDX-License-Identifier: GPL-3.0-or-later
#include <QFontMetricsF>
#include <QPainter>

#include "app/desk/kinds/kind.h"

namespace moundwork::desk {
namespace {

// Farther from the rubber than this it is drawn from above alone: the plates are to be seen.
constexpr double farthest_beside_plates = 4.0;  // m

double measure(const session::EventInstrument& gate, std::string_view key) {
  const auto found = gate.measures.find(key);
  return found == gate.measures.end() ? 0.0 : found->second.value;
}

template <class Use>
void each_gate(const session::Session& session, Use use) {
  for (const session::EventInstrument& one : session.instruments)
    if (one.kind == "light_gate") use(one, measure(one, "position"), measure(one, "height"));
}

QStringList describe(const session::Session& session) {
  QStringList words;
  each_gate(session, [&](const session::EventInstrument& gate, double x, double z) {
    words << QStringLiteral("Light gate '%1': its beam %2 in front of the rubber, %3 high")
                 .arg(QString::fromStdString(gate.name), metres(x), metres(z));
  });
  return words;
}

void reach_way(const session::Session& session, Extent& x, Extent& /*y*/) {
  each_gate(session,
            [&](const auto& /*gate*/, double along, double /*z*/) { x.take_in(along + 0.5); });
}

void draw_way(const session::Session& session, const StationView& view) {
  each_gate(session, [&](const auto& /*gate*/, double x, double /*z*/) {
    view.painter.setPen(view.look.pen(Role::typed_mark, 1.6));
    view.painter.drawLine(view.at(x, -0.5), view.at(x, 0.5));
  });
}

void reach_side(const session::Session& session, Extent& x, Extent& z) {
  each_gate(session, [&](const auto& /*gate*/, double along, double height) {
    if (along > farthest_beside_plates) return;
    x.take_in(along + 0.3);
    z.take_in(height + 0.2);
  });
}

void draw_side(const session::Session& session, const StationView& view) {
  QPainter& painter = view.painter;
  const double line = QFontMetricsF(painter.font()).height();
  each_gate(session, [&](const session::EventInstrument& gate, double x, double height) {
    if (x > farthest_beside_plates) return;
    const QPointF beam = view.at(x, height);
    painter.setPen(QPen(view.look.faint, 1.0));
    painter.drawLine(beam, view.at(x, 0.0));
    painter.setPen(QPen(view.look.ink, 1.2));
    painter.setBrush(view.look.colour(Role::typed_mark));
    painter.drawEllipse(beam, 5.0, 5.0);
    view.words(beam - QPointF(0.0, line), QString::fromStdString(gate.name), view.look.ink);
  });
}

}  // namespace

const ShownKind& light_gate_shown();
const ShownKind& light_gate_shown() {
  static const ShownKind kind{
      "light_gate",
      QStringLiteral("ready, no crossing yet"),
      QStringLiteral("ready, 1 crossing"),
      QStringLiteral("ready, %1 crossings"),
      QStringLiteral("sends %1 lines that are no crossings. Compare the line pattern and the baud "
                     "rate in the station file with what it prints."),
      describe,
      reach_way,
      draw_way,
      reach_side,
      draw_side};
  return kind;
}

}  // namespace moundwork::desk
