// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "core/base/sentence.h"
#include "core/base/shown_number.h"
#include "core/relate/words.h"
#include "core/summary/axes.h"
#include "core/summary/figures.h"
#include "core/summary/words.h"

namespace moundwork::summary {
namespace {

constexpr double milliseconds = 1e3;

Range range_of(const ForceTraces& forces, std::initializer_list<const MeanTrace*> traces) {
  Range range{-0.1, 0.1};
  for (const MeanTrace* trace : traces)
    for (Eigen::Index i = 0; i < trace->mean.size(); ++i) {
      const double sd = std::isfinite(trace->sd(i)) && forces.throws > 1 ? trace->sd(i) : 0.0;
      range.take_in(trace->mean(i) - sd);
      range.take_in(trace->mean(i) + sd);
    }
  const double margin = 0.06 * range.size();
  return {range.low - margin, range.high + margin};
}

void draw_trace(const ForceTraces& forces, const MeanTrace& trace, const Axes& axes, Ink ink,
                Dash dash, Drawing& drawing) {
  Stroke band;
  Stroke line;
  std::vector<Point> lower;
  for (Eigen::Index i = 0; i < trace.mean.size(); ++i) {
    if (!std::isfinite(trace.mean(i))) continue;
    const double t = milliseconds * forces.time(i);
    line.points.push_back(axes.at(t, trace.mean(i)));
    if (!std::isfinite(trace.sd(i))) continue;
    band.points.push_back(axes.at(t, trace.mean(i) + trace.sd(i)));
    lower.push_back(axes.at(t, trace.mean(i) - trace.sd(i)));
  }
  band.points.insert(band.points.end(), lower.rbegin(), lower.rend());
  band.ink = Ink::none;
  band.fill = ink;
  band.fill_opacity = 0.2;
  band.closed = true;
  line.ink = ink;
  line.width = 0.55;
  line.dash = dash;
  if (!band.points.empty()) drawing.shapes.push_back(std::move(band));
  if (!line.points.empty()) drawing.shapes.push_back(std::move(line));
}

struct EventLine {
  double time;  // ms
  std::string name;
};

std::vector<EventLine> events_of(const ForceTraces& forces) {
  std::vector<EventLine> lines;
  const auto add = [&](const std::optional<MeanEvent>& event, std::string name) {
    if (event) lines.push_back({milliseconds * event->time, std::move(name)});
  };
  add(forces.drive_peak, sentence("drive peak"));
  lines.push_back({0.0, sentence("lead contact")});
  add(forces.braking_peak, sentence("braking peak"));
  add(forces.release, sentence("release"));
  add(forces.back_foot_off, sentence("back foot off"));
  std::sort(lines.begin(), lines.end(),
            [](const EventLine& a, const EventLine& b) { return a.time < b.time; });
  return lines;
}

constexpr int label_rows = 5;
constexpr double row_height = 2.9;

// A dotted line down through both panels for each event, its name right of the line's upper end.
// Names go down like stairs where they are close, so that no line runs through one.
void draw_events(const ForceTraces& forces, const Axes& head, double bottom, Drawing& drawing) {
  struct Placed {
    EventLine event;
    double x, width;
    int row;
  };
  constexpr double apart = 0.8;
  auto events = events_of(forces);
  std::vector<Placed> placed;
  for (auto event = events.rbegin(); event != events.rend(); ++event) {
    if (event->time < head.x.low || event->time > head.x.high) continue;
    Placed one{*event, head.at(event->time, 0.0).x, assumed_width(event->name, figure_text), 0};
    for (const Placed& right : placed)
      if (right.x < one.x + one.width + 2.0 * apart)
        one.row = std::min(label_rows - 1, std::max(one.row, right.row + 1));
    placed.push_back(one);
  }
  for (const Placed& one : placed) {
    const bool contact = one.event.time == 0.0;
    const double base = head.top - 0.8 - row_height * one.row;
    const bool room = one.x + apart + one.width <= drawing.width;
    drawing.shapes.push_back(Stroke{{{one.x, base - 0.6 * figure_text}, {one.x, bottom}},
                                    contact ? Ink::text : Ink::quiet,
                                    contact ? 0.35 : 0.22,
                                    contact ? Dash::solid : Dash::dotted});
    drawing.shapes.push_back(Label{{one.x + (room ? apart : -apart), base},
                                   one.event.name,
                                   figure_text,
                                   room ? Anchor::start : Anchor::end,
                                   contact ? Ink::text : Ink::quiet,
                                   contact});
  }
}

Eigen::Index index_of_extreme(const Eigen::ArrayXd& values, double sign) {
  Eigen::Index best = -1;
  for (Eigen::Index i = 0; i < values.size(); ++i)
    if (std::isfinite(values(i)) && (best < 0 || sign * values(i) > sign * values(best))) best = i;
  return best;
}

void draw_names(const ForceTraces& forces, const Axes& upper, Drawing& drawing) {
  // Each name stands where its trace is alone: the drive's above its left flank, the braking's
  // right of its peak.
  const Eigen::Index drive = index_of_extreme(forces.back_x.mean, 1.0);
  if (drive >= 0)
    drawing.shapes.push_back(Label{{upper.left + 1.0, upper.top + 1.2 * figure_text},
                                   sentence("back foot drives"),
                                   figure_text,
                                   Anchor::start,
                                   Ink::back,
                                   true});
  const Eigen::Index braking = index_of_extreme(forces.lead_x.mean, -1.0);
  if (braking >= 0)
    drawing.shapes.push_back(Label{{upper.left + 1.0, upper.bottom() - 0.5 * figure_text},
                                   sentence("lead foot brakes"),
                                   figure_text,
                                   Anchor::start,
                                   Ink::lead,
                                   true});
}

std::string description_of(const ForceTraces& forces) {
  const auto peak = [](const MeanTrace& trace, double sign) {
    const Eigen::Index i = index_of_extreme(trace.mean, sign);
    return i < 0 ? not_known() : with_unit(plain_text(std::abs(trace.mean(i)), 2), "BW");
  };
  std::string text = sentence(
      "Mean forces of {throws} against time from lead contact, in body weights. The back foot "
      "drives with up to {drive}, the lead foot brakes with up to {braking} and carries up to "
      "{vertical}.",
      "throws"_is(count_of_throws(forces.throws)), "drive"_is(peak(forces.back_x, 1.0)),
      "braking"_is(peak(forces.lead_x, -1.0)), "vertical"_is(peak(forces.lead_z, 1.0)));
  for (const EventLine& event : events_of(forces))
    if (event.time != 0.0)
      text += ' ' + sentence("{event} at {time} ms.", "event"_is(relate::capitalised(event.name)),
                             "time"_is(plain_text(event.time, 0)));
  return text;
}

}  // namespace

Drawing draw_forces(const ForceTraces& forces, double width, double height) {
  Drawing drawing{
      width, height, sentence("Forces around lead contact"), description_of(forces), {}};
  constexpr double left = 8.5;
  constexpr double title = 3.6;
  constexpr double foot = 7.0;
  const double head = label_rows * row_height;
  const double space = height - head - 2.0 * title - foot;
  const Range time{milliseconds * forces.start,
                   milliseconds * forces.time(forces.back_x.mean.size() - 1)};
  Range along = range_of(forces, {&forces.back_x, &forces.lead_x});
  along.high += 0.17 * along.size();  // for the drive's name
  const Axes upper{left, head + title, width - left - 1.0, 0.58 * space, time, along};
  const Axes lower{left, upper.bottom() + title + 1.2,      upper.width, 0.42 * space - 1.2,
                   time, range_of(forces, {&forces.lead_z})};
  draw_axes(upper, {.x_labels = false}, drawing);
  draw_axes(lower, {}, drawing);
  draw_events(forces, Axes{upper.left, head, upper.width, 0.0, time, {}}, lower.bottom(), drawing);
  draw_trace(forces, forces.back_x, upper, Ink::back, Dash::solid, drawing);
  draw_trace(forces, forces.lead_x, upper, Ink::lead, Dash::dashed, drawing);
  draw_trace(forces, forces.lead_z, lower, Ink::lead, Dash::dashed, drawing);
  draw_names(forces, upper, drawing);
  drawing.shapes.push_back(Label{{0.0, upper.top - 1.0},
                                 sentence("Along the throwing line, up is toward home (BW)"),
                                 figure_text,
                                 Anchor::start,
                                 Ink::text});
  drawing.shapes.push_back(Label{{0.0, lower.top - 1.0},
                                 sentence("Vertical, lead foot (BW)"),
                                 figure_text,
                                 Anchor::start,
                                 Ink::text});
  drawing.shapes.push_back(Label{{lower.right(), height - 0.6},
                                 sentence("ms from lead contact"),
                                 figure_text,
                                 Anchor::end,
                                 Ink::quiet});
  drawing.shapes.push_back(
      Label{{0.0, height - 0.6},
            sentence_for(forces.throws, "a single throw",
                         "mean of {throws} throws, band ± 1 standard deviation",
                         "throws"_is(forces.throws)),
            figure_text,
            Anchor::start,
            Ink::quiet});
  return drawing;
}

}  // namespace moundwork::summary
