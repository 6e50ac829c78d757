// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/axes.h"

#include <algorithm>
#include <cmath>

#include "core/base/shown_number.h"
#include "core/relate/words.h"

namespace moundwork::summary {

void Range::take_in(double value) {
  if (!std::isfinite(value)) return;
  low = std::min(low, value);
  high = std::max(high, value);
}

std::vector<double> round_ticks(Range range, int wanted) {
  if (!(range.size() > 0.0)) return {range.low};
  const double step = relate::round_step(range.size() / std::max(1, wanted));
  std::vector<double> ticks;
  constexpr double rounding = 1e-9;
  for (double k = std::ceil(range.low / step - rounding); k * step <= range.high + rounding * step;
       k += 1.0)
    ticks.push_back(k * step);
  return ticks;
}

std::string tick_text(double value, const std::vector<double>& ticks) {
  double step = std::abs(value);
  if (ticks.size() > 1) step = ticks[1] - ticks[0];
  const int decimals =
      step > 0.0 ? std::clamp(static_cast<int>(std::ceil(-std::log10(step) - 1e-9)), 0, 6) : 0;
  return plain_text(value == 0.0 ? 0.0 : value, decimals);
}

Point Axes::at(double value_x, double value_y) const {
  return {left + width * (value_x - x.low) / x.size(),
          bottom() - height * (value_y - y.low) / y.size()};
}

void draw_axes(const Axes& axes, const AxisStyle& style, Drawing& drawing) {
  const auto x_ticks = round_ticks(axes.x, style.x_ticks);
  const auto y_ticks = round_ticks(axes.y, style.y_ticks);
  for (const double tick : y_ticks) {
    const double y = axes.at(0.0, tick).y;
    const bool zero = std::abs(tick) < 1e-12;
    drawing.shapes.push_back(Stroke{
        {{axes.left, y}, {axes.right(), y}}, zero ? Ink::rule : Ink::grid, zero ? 0.25 : 0.18});
    drawing.shapes.push_back(Label{{axes.left - 0.4 * style.text, y + 0.35 * style.text},
                                   tick_text(tick, y_ticks),
                                   style.text,
                                   Anchor::end,
                                   Ink::quiet});
  }
  for (const double tick : x_ticks) {
    const double x = axes.at(tick, 0.0).x;
    drawing.shapes.push_back(
        Stroke{{{x, axes.bottom()}, {x, axes.bottom() + 0.35 * style.text}}, Ink::rule, 0.2});
    if (style.x_labels)
      drawing.shapes.push_back(Label{{x, axes.bottom() + 1.35 * style.text},
                                     tick_text(tick, x_ticks),
                                     style.text,
                                     Anchor::middle,
                                     Ink::quiet});
  }
  drawing.shapes.push_back(
      Stroke{{{axes.left, axes.bottom()}, {axes.right(), axes.bottom()}}, Ink::rule, 0.25});
}

}  // namespace moundwork::summary
