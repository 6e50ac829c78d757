// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QPainter>

#include "core/summary/drawing.h"

namespace moundwork::summary {

/// The typeface of every page, at a size in device dots; the first of these that is installed:
/// Lato, DejaVu Sans.
[[nodiscard]] QFont page_font(double dots, bool bold = false);
[[nodiscard]] QColor colour(Ink ink);

/// Paints a drawing with its top left corner at `at`, `dots` device dots to a millimetre.
void paint(QPainter& painter, const Drawing& drawing, QPointF at, double dots);

}  // namespace moundwork::summary
