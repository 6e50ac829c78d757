// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/summary/drawing.h"

namespace moundwork::summary {

struct Range {
  double low = 0.0;
  double high = 1.0;

  void take_in(double value);
  [[nodiscard]] double size() const { return high - low; }
};

/// Round numbers (1, 2 or 5 times a power of ten apart) within a range, about `wanted` of them.
[[nodiscard]] std::vector<double> round_ticks(Range range, int wanted);
/// A tick as text, with the decimals that the step between ticks needs and a true minus sign.
[[nodiscard]] std::string tick_text(double value, const std::vector<double>& ticks);

/// A rectangle on the drawing, mm, and the values along its sides.
struct Axes {
  double left = 0.0, top = 0.0, width = 0.0, height = 0.0;
  Range x, y;

  [[nodiscard]] Point at(double value_x, double value_y) const;
  [[nodiscard]] double right() const { return left + width; }
  [[nodiscard]] double bottom() const { return top + height; }
};

struct AxisStyle {
  double text = 2.4;  ///< mm, of tick labels
  int x_ticks = 5;
  int y_ticks = 4;
  bool x_labels = true;
};
/// Ground, grid lines and tick labels, left and below.
void draw_axes(const Axes& axes, const AxisStyle& style, Drawing& drawing);

}  // namespace moundwork::summary
