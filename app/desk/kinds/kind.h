// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QPointF>
#include <QString>
#include <QStringList>
#include <algorithm>
#include <functional>
#include <string_view>

#include "app/desk/look/look.h"
#include "core/session/session.h"

class QPainter;

/// Kinds of instruments on the screen: words for the lamp, a place in the station's drawing. A kind
/// is a folder here and a line in list.cpp; plates and what samples need none.
namespace moundwork::desk {

struct Extent {
  double low = 0.0, high = 0.0;
  void take_in(double value) {
    low = std::min(low, value);
    high = std::max(high, value);
  }
  [[nodiscard]] double size() const { return high - low; }
  [[nodiscard]] double middle() const { return 0.5 * (low + high); }
};

/// One view of the station as it is drawn: `along` is lab x, `across` lab y from above and z from
/// the side, m.
struct StationView {
  QPainter& painter;
  const Look& look;
  std::function<QPointF(double along, double across)> at;
  /// Puts words around a point.
  std::function<void(QPointF middle, const QString& words, const QColor& ink)> words;
};

/// A kind whose instruments send events.
struct ShownKind {
  std::string_view key;  ///< as the kind has it in core

  // The lamp of one that is reached: before the first event, after one, after %1, and where %1
  // lines that are no events came.
  QString none, one, many, refused;

  /// A sentence for each of the session's instruments: what and where.
  std::function<QStringList(const session::Session&)> describe;
  /// What the drawing of the whole way, from above, must hold for them; and their drawing.
  std::function<void(const session::Session&, Extent& x, Extent& y)> reach_way;
  std::function<void(const session::Session&, const StationView&)> draw_way;
  /// The same of the drawing from the side; empty where there is nothing to see.
  std::function<void(const session::Session&, Extent& x, Extent& z)> reach_side;
  std::function<void(const session::Session&, const StationView&)> draw_side;
};

/// "2.05 m"
[[nodiscard]] QString metres(double length);

}  // namespace moundwork::desk
