// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>

#include "core/base/sentence.h"
#include "core/base/shown_number.h"
#include "core/summary/axes.h"
#include "core/summary/figures.h"
#include "core/summary/sole.h"
#include "core/summary/words.h"

namespace moundwork::summary {
namespace {

// The sole in the foot's own coordinates.
std::vector<FootPoint> sole_of(const FootPath& foot) {
  std::vector<FootPoint> points;
  for (const SolePoint& point : sole_outline(foot.source))
    points.push_back({100.0 * point.along, point.inner * foot.length});
  return points;
}

// Below the sole, where the scale of percent stands.
double scale_forward(const FootPath& foot) {
  double least = 0.0;
  for (const FootPoint& point : sole_of(foot)) least = std::min(least, point.forward);
  return least - 0.03 * foot.length;
}

// From the foot's own coordinates to the drawing.
class FootMap {
 public:
  FootMap(const FootPath& foot, double left, double top, double width, double height)
      : toe_right_(foot.toe_right), length_(foot.length) {
    Range along{-8.0, 108.0};
    Range forward{scale_forward(foot), 0.20 * foot.length};
    const auto take_in = [&](const std::vector<FootPoint>& points) {
      for (const FootPoint& point : points) {
        along.take_in(point.along);
        forward.take_in(point.forward);
      }
    };
    take_in(sole_of(foot));
    take_in(foot.load);
    take_in(foot.drive);
    take_in(foot.each_peak);
    scale_ = std::min(width / (along.size() / 100.0 * length_), height / forward.size());
    const double middle_along = 0.5 * (along.low + along.high);
    centre_x_ = left + 0.5 * width;
    centre_y_ = top + 0.5 * height;
    middle_ = {middle_along, 0.5 * (forward.low + forward.high)};
  }
  [[nodiscard]] Point at(const FootPoint& point) const {
    const double x = scale_ * length_ * (point.along - middle_.along) / 100.0;
    return {centre_x_ + (toe_right_ ? x : -x),
            centre_y_ - scale_ * (point.forward - middle_.forward)};
  }

 private:
  bool toe_right_;
  double length_;
  double scale_ = 1.0, centre_x_ = 0.0, centre_y_ = 0.0;
  FootPoint middle_;
};

void draw_sole(const FootPath& foot, const FootMap& map, Drawing& drawing) {
  // The back foot's inner side faces home, for either hand.
  Stroke outline;
  for (const FootPoint& point : sole_of(foot)) outline.points.push_back(map.at(point));
  outline.ink = Ink::rule;
  outline.width = 0.3;
  outline.fill = Ink::wash;
  outline.closed = true;
  drawing.shapes.push_back(std::move(outline));
}

void draw_scale(const FootPath& foot, const FootMap& map, Drawing& drawing) {
  drawing.shapes.push_back(
      Stroke{{map.at({0.0, 0.0}), map.at({100.0, 0.0})}, Ink::rule, 0.2, Dash::dotted});
  for (const double percent : {0.0, 25.0, 50.0, 75.0, 100.0}) {
    const Point at = map.at({percent, scale_forward(foot)});
    drawing.shapes.push_back(Stroke{{{at.x, at.y + 0.4}, {at.x, at.y + 1.4}}, Ink::rule, 0.25});
    std::string text = plain_text(percent, 0);
    if (percent == 0.0) text = sentence("heel 0");
    if (percent == 100.0) text = sentence("toe 100");
    drawing.shapes.push_back(
        Label{{at.x, at.y + 4.1}, text, figure_text, Anchor::middle, Ink::quiet});
  }
}

Stroke path(const std::vector<FootPoint>& points, const FootMap& map, double width, Dash dash) {
  Stroke stroke;
  for (const FootPoint& point : points) stroke.points.push_back(map.at(point));
  stroke.ink = Ink::back;
  stroke.width = width;
  stroke.dash = dash;
  return stroke;
}

void draw_key(const FootPath& foot, double x, double y, Drawing& drawing) {
  const auto text = [&](const std::string& words) {
    drawing.shapes.push_back(Label{{x, y + 0.35 * figure_text}, words, figure_text});
    x += assumed_width(words, figure_text) + 3.0;
  };
  const auto line = [&](double width, Dash dash) {
    drawing.shapes.push_back(Stroke{{{x, y}, {x + 6.0, y}}, Ink::back, width, dash});
    x += 7.0;
  };
  if (!foot.load.empty()) {
    line(0.5, Dash::dashed);
    text(sentence("load"));
  }
  line(0.9, Dash::solid);
  text(sentence("drive"));
  drawing.shapes.push_back(mark(MarkShape::diamond, {x + 1.2, y}, 2.8, Ink::back));
  x += 3.4;
  text(sentence("hardest push"));
  if (foot.throws > 1) {
    drawing.shapes.push_back(mark(MarkShape::ring, {x + 0.7, y}, 1.3, Ink::quiet));
    x += 2.4;
    text(sentence("each throw"));
  }
}

std::string description_of(const FootPath& foot) {
  const auto percent = [](double value) { return with_unit(plain_text(value, 0), "%"); };
  const auto from = "from"_is(percent(foot.drive.front().along));
  const auto peak = "peak"_is(percent(foot.drive_peak.along));
  const auto throws = "throws"_is(count_of_throws(foot.throws));
  if (foot.load.empty())
    return sentence(
        "The back foot from above. Of the way from heel to toe, the centre of pressure goes over "
        "the drive from {from} to {peak}, where the push is hardest (mean of {throws}).",
        from, peak, throws);
  return sentence(
      "The back foot from above. Over the load the centre of pressure goes from {load_from} to "
      "{load_to} of the way from heel to toe; over the drive from {from} to {peak}, where the push "
      "is hardest (mean of {throws}).",
      "load_from"_is(percent(foot.load.front().along)),
      "load_to"_is(percent(foot.load.back().along)), from, peak, throws);
}

}  // namespace

Drawing draw_foot(const FootPath& foot, double width, double height) {
  Drawing drawing{width, height, sentence("Back foot, heel to toe"), description_of(foot), {}};
  constexpr double key_height = 5.0;
  constexpr double scale_height = 5.0;
  constexpr double head_height = 4.0;
  const FootMap map(foot, 0.0, head_height, width,
                    height - head_height - scale_height - key_height);
  draw_sole(foot, map, drawing);
  draw_scale(foot, map, drawing);
  drawing.shapes.push_back(Label{{0.5 * width, 2.6},
                                 sentence("↑ toward home plate"),
                                 figure_text,
                                 Anchor::middle,
                                 Ink::quiet});
  if (foot.throws > 1)
    for (const FootPoint& point : foot.each_peak) {
      Stroke ring = mark(MarkShape::ring, map.at(point), 1.3, Ink::quiet);
      ring.width = 0.2;
      drawing.shapes.push_back(std::move(ring));
    }
  if (!foot.load.empty()) {
    drawing.shapes.push_back(path(foot.load, map, 0.5, Dash::dashed));
    drawing.shapes.push_back(mark(MarkShape::ring, map.at(foot.load.front()), 1.8, Ink::back));
  }
  drawing.shapes.push_back(path(foot.drive, map, 0.9, Dash::solid));
  drawing.shapes.push_back(mark(MarkShape::diamond, map.at(foot.drive_peak), 2.8, Ink::back));
  const Point peak = map.at(foot.drive_peak);
  drawing.shapes.push_back(Label{{peak.x, peak.y - 2.4},
                                 with_unit(plain_text(foot.drive_peak.along, 0), "%"),
                                 2.8,
                                 Anchor::middle,
                                 Ink::back,
                                 true});
  draw_key(foot, 0.0, height - 0.5 * key_height + 0.5, drawing);
  return drawing;
}

std::string foot_caption(const FootPath& foot) {
  std::string text = sentence_for(
      foot.throws, "The way of the centre of pressure in the one throw.",
      "Mean way of the centre of pressure over {throws} throws.", "throws"_is(foot.throws));
  if (foot.load.empty()) text += ' ' + sentence("No throw has a load phase.");
  if (foot.source == session::FootLineSource::foot_length)
    text += ' ' + sentence("Heel and toe are estimated from the foot's length.");
  return text + ' ' + sentence("The outline is only to read it by.");
}

}  // namespace moundwork::summary
