// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>

#include "core/base/sentence.h"
#include "core/relate/words.h"
#include "core/summary/axes.h"
#include "core/summary/figures.h"
#include "core/summary/words.h"

namespace moundwork::summary {
namespace {

Range padded(const std::vector<double>& values) {
  const auto [least, greatest] = std::minmax_element(values.begin(), values.end());
  double margin = 0.08 * (*greatest - *least);
  if (!(margin > 0.0)) margin = 0.5;
  return {*least - margin, *greatest + margin};
}

std::string axis_name(const std::string& name, const std::string& unit) {
  return unit.empty() ? name : sentence("{name} ({unit})", "name"_is(name), "unit"_is(unit));
}

}  // namespace

Drawing draw_against(const SpeedAgainst& against, double width, double height) {
  Drawing drawing{width,
                  height,
                  sentence("Ball speed against {quantity}", "quantity"_is(against.quantity)),
                  against.says,
                  {}};
  constexpr double left = 9.0;
  constexpr double head = 3.8;
  constexpr double foot = 7.2;
  const Axes axes{
      left, head, width - left - 1.5, height - head - foot, padded(against.x), padded(against.y)};
  draw_axes(axes, {.x_ticks = 4}, drawing);
  drawing.shapes.push_back(
      Label{{0.0, 2.4}, axis_name(sentence("Ball speed"), against.speed_unit), figure_text});
  drawing.shapes.push_back(Label{{axes.right(), height - 0.8},
                                 axis_name(relate::capitalised(against.quantity), against.unit),
                                 figure_text,
                                 Anchor::end});
  if (against.line) {
    // Only as far as there are throws.
    const auto [least, greatest] = std::minmax_element(against.x.begin(), against.x.end());
    const auto [intercept, slope] = *against.line;
    drawing.shapes.push_back(Stroke{{axes.at(*least, intercept + slope * *least),
                                     axes.at(*greatest, intercept + slope * *greatest)},
                                    Ink::text,
                                    0.4,
                                    Dash::dashed});
  }
  for (std::size_t i = 0; i < against.x.size(); ++i) {
    Stroke ring = mark(MarkShape::ring, axes.at(against.x[i], against.y[i]), 1.7, Ink::back);
    ring.fill = Ink::back;
    ring.fill_opacity = 0.45;
    drawing.shapes.push_back(std::move(ring));
  }
  return drawing;
}

std::string against_caption(const SpeedAgainst& against) {
  return against.says + ' ' +
         sentence_for(against.tested,
                      "It is the only quantity that this page looked at; beside more of them the "
                      "same could be chance.",
                      "It goes with ball speed most closely of the {count} quantities that this "
                      "page looked at; beside more of them the same could be chance.",
                      "count"_is(against.tested));
}

Drawing draw_place(const Number& number, double width, double height) {
  Drawing drawing{width,
                  height,
                  sentence("{name} in the group", "name"_is(number.name)),
                  sentence("{name}: {place}.", "name"_is(number.name), "place"_is(number.place)),
                  {}};
  std::vector<double> all = number.others;
  all.push_back(number.shown);
  const Axes axes{1.5, 0.0, width - 3.0, height, padded(all), {0.0, 1.0}};
  drawing.shapes.push_back(
      Stroke{{axes.at(axes.x.low, 0.5), axes.at(axes.x.high, 0.5)}, Ink::grid, 0.3});
  for (const double other : number.others)
    drawing.shapes.push_back(Stroke{{axes.at(other, 0.15), axes.at(other, 0.85)}, Ink::rule, 0.35});
  drawing.shapes.push_back(
      mark(MarkShape::diamond, axes.at(number.shown, 0.5), 0.9 * height, Ink::text));
  return drawing;
}

}  // namespace moundwork::summary
