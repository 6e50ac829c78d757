// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/time/clock_map.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/stats/median.h"

namespace moundwork {
namespace {

struct Point {
  double p;  // device time, nominal s
  double h;  // arrival, s
};

struct Line {
  double p0;     // mean device time of the window
  double h0;     // envelope there
  double slope;  // session seconds per nominal device second
  double u;      // standard uncertainty of h0 from the scatter of early arrivals
  double slope_u;
};

double cross(const Point& o, const Point& a, const Point& b) {
  return (a.p - o.p) * (b.h - o.h) - (a.h - o.h) * (b.p - o.p);
}

/// Lower convex hull of points ordered by p (Andrew's monotone chain).
std::vector<Point> lower_hull(std::span<const Point> points) {
  std::vector<Point> hull;
  for (const Point& point : points) {
    if (!hull.empty() && hull.back().p == point.p) {
      if (hull.back().h <= point.h) continue;
      hull.pop_back();
    }
    while (hull.size() >= 2 && cross(hull[hull.size() - 2], hull.back(), point) <= 0.0) {
      hull.pop_back();
    }
    hull.push_back(point);
  }
  return hull;
}

/// Uncertainty of an envelope from its own residuals: near the envelope the delays have the density
/// k / r_(k), so the gap to the least delay is of the order r_(k) / k. Threefold, because the line
/// rests on two arrivals and queues thin out the least delays. Late arrivals come in runs (a queue
/// holds back all behind it), so the least residual of each stretch counts as one.
double envelope_u(std::span<const double> residuals, const ClockFitSettings& settings) {
  constexpr std::size_t stretches = 64;
  const std::size_t length = std::max<std::size_t>(1, residuals.size() / stretches);
  std::vector<double> least;
  for (std::size_t i = 0; i < residuals.size(); i += length) {
    const auto stretch = residuals.subspan(i, std::min(length, residuals.size() - i));
    least.push_back(*std::min_element(stretch.begin(), stretch.end()));
  }
  if (least.size() < 3) return settings.lone_arrival;
  const auto k =
      std::max<std::size_t>(3, static_cast<std::size_t>(std::sqrt(double(least.size()))));
  std::nth_element(least.begin(), least.begin() + static_cast<std::ptrdiff_t>(k - 1), least.end());
  return 3.0 * least[k - 1] / static_cast<double>(k);
}

/// The line below all points that has the least sum of residuals: the edge of the lower hull that
/// spans the mean of p. Where the points cannot tell the slope better than a crystal's usual
/// tolerance, `usual_slope` is kept and only the offset is fitted.
Line envelope(std::span<const Point> points, double usual_slope, const ClockFitSettings& settings) {
  double mean = 0.0;
  for (const Point& point : points) mean += point.p / static_cast<double>(points.size());
  const std::vector<Point> hull = lower_hull(points);
  Line line{mean, 0.0, usual_slope, 0.0, settings.crystal};
  std::vector<double> residuals(points.size());
  if (hull.size() >= 2) {
    const auto right = std::clamp<std::ptrdiff_t>(
        std::upper_bound(hull.begin(), hull.end(), mean,
                         [](double p, const Point& point) { return p < point.p; }) -
            hull.begin(),
        1, static_cast<std::ptrdiff_t>(hull.size()) - 1);
    const Point& a = hull[static_cast<std::size_t>(right - 1)];
    const Point& b = hull[static_cast<std::size_t>(right)];
    line.slope = (b.h - a.h) / (b.p - a.p);
    line.h0 = a.h + line.slope * (mean - a.p);
    std::transform(points.begin(), points.end(), residuals.begin(), [&](const Point& point) {
      return point.h - line.h0 - line.slope * (point.p - mean);
    });
    line.u = envelope_u(residuals, settings);
    const double span = points.back().p - points.front().p;
    line.slope_u = line.u * std::sqrt(2.0) / std::min(b.p - a.p, 0.5 * span);
  }
  // A backlog read at once has almost no slope at all, and says so with great certainty.
  const bool possible = std::abs(line.slope - usual_slope) <= 10.0 * settings.crystal;
  if (hull.size() < 2 || !possible || line.slope_u > settings.crystal) {
    line.slope = usual_slope;
    line.slope_u = settings.crystal;
    std::transform(points.begin(), points.end(), residuals.begin(),
                   [&](const Point& point) { return point.h - line.slope * (point.p - mean); });
    line.h0 = *std::min_element(residuals.begin(), residuals.end());
    for (double& residual : residuals) residual -= line.h0;
    line.u = envelope_u(residuals, settings);
  }
  return line;
}

/// Least value of arrival minus device time over points within `reach` of index `from`, walking by
/// `direction`.
double least_offset(std::span<const Point> points, std::size_t from, int direction, double reach) {
  double least = std::numeric_limits<double>::infinity();
  for (auto i = static_cast<std::ptrdiff_t>(from);
       i >= 0 && i < static_cast<std::ptrdiff_t>(points.size()); i += direction) {
    const Point& point = points[static_cast<std::size_t>(i)];
    if (std::abs(point.h - points[from].h) > reach) break;
    least = std::min(least, point.h - point.p);
  }
  return least;
}

constexpr double opening_time = 1.0;  // s in which a port's backlog has surely been read

/// First indices of the counter's runs. A count that goes back is a reset. A count that steps
/// against the arrivals is one too if the step stays; a stall of the host goes away again.
std::vector<std::size_t> segment_starts(std::span<const Point> points,
                                        const ClockFitSettings& settings) {
  std::vector<std::size_t> starts{0};
  for (std::size_t i = 1; i < points.size(); ++i) {
    const double step_p = points[i].p - points[i - 1].p;
    const double step_h = points[i].h - points[i - 1].h;
    if (step_p < 0.0) {
      starts.push_back(i);
      continue;
    }
    if (std::abs(step_h - step_p) <= settings.step) continue;
    const auto run = points.subspan(starts.back());
    const std::size_t here = i - starts.back();
    const double before = least_offset(run, here - 1, -1, settings.window);
    // The walk ahead must not run into the next reset.
    std::size_t end = here;
    while (end + 1 < run.size() && run[end + 1].p >= run[end].p) ++end;
    const double after = least_offset(run.first(end + 1), here, 1, settings.window);
    // What waited in the port before it was opened came late and at once: no step of the counter.
    const bool opening_backlog = after < before && points[i].h - run.front().h < opening_time;
    if (!opening_backlog &&
        std::abs(after - before) > settings.step + 10.0 * settings.crystal * std::abs(step_h)) {
      starts.push_back(i);
    }
  }
  return starts;
}

std::vector<Line> window_lines(std::span<const Point> points, double usual_slope,
                               const ClockFitSettings& settings) {
  std::vector<Line> lines;
  std::size_t begin = 0;
  while (begin < points.size()) {
    std::size_t end = begin;
    while (end < points.size() && (points[end].p - points[begin].p < settings.window ||
                                   end - begin < settings.least_arrivals)) {
      ++end;
    }
    // A short rest joins its neighbour rather than stand on few arrivals.
    const std::size_t rest = points.size() - end;
    if (rest < settings.least_arrivals ||
        points.back().p - points[std::min(end, points.size() - 1)].p < 0.5 * settings.window) {
      end = points.size();
    }
    lines.push_back(envelope(points.subspan(begin, end - begin), usual_slope, settings));
    begin = end;
  }
  return lines;
}

/// Every window's offset lies at or above the truth, so the lowest course that wanders no faster
/// than allowed about the median slope is nearer to it than each window alone. Two sweeps give the
/// minimum over all windows.
void limit_wander(std::vector<Line>& lines, const ClockFitSettings& settings) {
  if (lines.size() < 3) return;
  std::vector<double> slopes;
  for (std::size_t i = 1; i < lines.size(); ++i) {
    slopes.push_back((lines[i].h0 - lines[i - 1].h0) / (lines[i].p0 - lines[i - 1].p0));
  }
  const double usual = stats::median(std::move(slopes));
  const auto lower = [&](Line& line, const Line& from) {
    const double step = line.p0 - from.p0;
    line.h0 = std::min(line.h0, from.h0 + usual * step + settings.wander * std::abs(step));
  };
  for (std::size_t i = 1; i < lines.size(); ++i) lower(lines[i], lines[i - 1]);
  for (std::size_t i = lines.size() - 1; i > 0; --i) lower(lines[i - 1], lines[i]);
}

}  // namespace

double ClockMap::Segment::at(double ticks) const {
  const auto right =
      std::upper_bound(knots.begin(), knots.end(), ticks,
                       [](double value, const Knot& knot) { return value < knot.ticks; });
  if (right == knots.begin()) return knots.front().time + slope_before * (ticks - right->ticks);
  const Knot& left = *(right - 1);
  const double slope =
      right == knots.end() ? slope_after : (right->time - left.time) / (right->ticks - left.ticks);
  return left.time + slope * (ticks - left.ticks);
}

ClockMap ClockMap::nominal(double tick_rate, DeviceTicks ticks, SessionTime time) {
  ClockMap map;
  map.tick_rate_ = tick_rate;
  Segment segment;
  segment.knots.push_back({static_cast<double>(static_cast<std::int64_t>(ticks)), seconds(time)});
  segment.slope_before = segment.slope_after = 1.0 / tick_rate;
  map.segments_.push_back(std::move(segment));
  return map;
}

SessionTime ClockMap::at(DeviceTicks ticks) const {
  return at(static_cast<double>(static_cast<std::int64_t>(ticks)));
}

SessionTime ClockMap::at(double ticks) const {
  // Between segments the one just before carries on; its oscillator did not stop.
  const auto holds = [&](const Segment& segment) { return ticks >= segment.first_ticks; };
  auto within = std::find_if(segments_.rbegin(), segments_.rend(), [&](const Segment& segment) {
    return holds(segment) && ticks <= segment.last_ticks;
  });
  if (within == segments_.rend())
    within = std::find_if(segments_.rbegin(), segments_.rend(), holds);
  if (within == segments_.rend()) within = segments_.rend() - 1;
  return session_time(within->at(ticks));
}

SessionTime ClockMap::at(double ticks, SessionTime arrival) const {
  const double h = seconds(arrival);
  const auto running =
      std::find_if(segments_.rbegin(), segments_.rend(),
                   [&](const Segment& segment) { return segment.first_arrival <= h; });
  const Segment& segment = running == segments_.rend() ? segments_.front() : *running;
  return session_time(segment.at(ticks));
}

double ClockMap::u() const {
  double longest = 0.0;
  for (const Segment& segment : segments_)
    longest = std::max(longest, segment.last_ticks - segment.first_ticks);
  double worst = 0.0;
  for (const Segment& segment : segments_)
    if (segment.last_ticks - segment.first_ticks >= 0.1 * longest)
      worst = std::max(worst, segment.u);
  return worst;
}

double ClockMap::skew() const {
  const auto longest =
      std::max_element(segments_.begin(), segments_.end(), [](const auto& a, const auto& b) {
        return a.last_ticks - a.first_ticks < b.last_ticks - b.first_ticks;
      });
  const double span = longest->last_ticks - longest->first_ticks;
  if (!(span > 0.0)) return longest->slope_after * tick_rate_ - 1.0;
  return (longest->at(longest->last_ticks) - longest->at(longest->first_ticks)) / span *
             tick_rate_ -
         1.0;
}

Result<ClockMap> fit_clock(std::span<const Arrival> arrivals, double tick_rate, Measured delay,
                           const ClockFitSettings& settings) {
  if (!(tick_rate > 0.0) || !std::isfinite(tick_rate)) {
    return fail("clock", "the counter's rate is not a positive number of ticks per second",
                "Give the device's rate in the station file.");
  }
  if (!delay.known() || !std::isfinite(delay.u) || delay.u < 0.0) {
    return fail("clock", "the device's delay or its uncertainty is not a number",
                "Give the delay in the station file, 0 if unknown.");
  }
  if (arrivals.empty()) {
    return fail("clock", "there is no arrival to fit the device's counter on",
                "Capture for some seconds first.");
  }
  std::vector<Point> points;
  points.reserve(arrivals.size());
  for (const Arrival& arrival : arrivals) {
    const double h = seconds(arrival.arrival);
    if (!std::isfinite(h)) return fail("clock", "an arrival time is not a number");
    points.push_back(
        {static_cast<double>(static_cast<std::int64_t>(arrival.ticks)) / tick_rate, h});
  }

  const std::vector<std::size_t> starts = segment_starts(points, settings);
  ClockMap map;
  map.tick_rate_ = tick_rate;
  map.segments_.resize(starts.size());
  // Long runs first: a short one borrows the slope of the longest, since it is the same crystal.
  std::vector<std::size_t> order(starts.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  const auto run = [&](std::size_t i) {
    const std::size_t end = i + 1 < starts.size() ? starts[i + 1] : points.size();
    return std::span<const Point>(points).subspan(starts[i], end - starts[i]);
  };
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return run(a).size() > run(b).size(); });
  double usual_slope = 1.0;
  for (const std::size_t i : order) {
    const auto segment_points = run(i);
    std::vector<Line> lines = window_lines(segment_points, usual_slope, settings);
    limit_wander(lines, settings);
    ClockMap::Segment& segment = map.segments_[i];
    segment.first_ticks = segment_points.front().p * tick_rate;
    segment.last_ticks = segment_points.back().p * tick_rate;
    segment.first_arrival = segment_points.front().h;
    double worst = 0.0;
    for (const Line& line : lines) {
      segment.knots.push_back({line.p0 * tick_rate, line.h0 - delay.value});
      worst = std::max(worst, line.u);
    }
    double before = lines.front().slope;
    double after = lines.back().slope;
    if (lines.size() >= 2) {
      const auto between = [&](const Line& a, const Line& b) {
        return (b.h0 - a.h0) / (b.p0 - a.p0);
      };
      before = between(lines[0], lines[1]);
      after = between(lines[lines.size() - 2], lines.back());
    }
    segment.slope_before = before / tick_rate;
    segment.slope_after = after / tick_rate;
    // Beyond the outer knots the slope's uncertainty acts over their distance to the ends.
    const double reach = std::max(lines.front().p0 - segment_points.front().p,
                                  segment_points.back().p - lines.back().p0);
    const double end_u = reach * std::max(lines.front().slope_u, lines.back().slope_u);
    segment.u = std::sqrt(worst * worst + end_u * end_u + delay.u * delay.u +
                          1.0 / (12.0 * tick_rate * tick_rate));
    if (i == order.front()) usual_slope = before;
  }
  return map;
}

}  // namespace moundwork
