// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/turning.h"

#include <algorithm>
#include <cmath>

#include "core/base/unknown.h"
#include "core/foot/sample_range.h"
#include "core/signal/series.h"

namespace moundwork::pitch {
namespace {

using Flags = Eigen::Array<bool, Eigen::Dynamic, 1>;

// A foot over some of its samples: where it is on the ground and where its pressure is centred.
struct Trace {
  Eigen::ArrayXd cop_x, cop_y;
  Flags down;
};

// A foot that carries little still pushes sideways a stride away from the other. Where its centre
// of pressure is too weak to tell, the nearest one told stands in: the foot has not gone elsewhere.
// So it is followed from a load that counts to where it leaves the ground or from where it came
// down on it: there the vertical force is 0, or, with a zero that is a little off, no longer
// falls on the way out.
Trace trace_of(const foot::FootForces& foot, const foot::SampleRange& range, double least_force) {
  const Eigen::Index n = range.count();
  const auto z = foot.z.segment(range.first, n);
  Trace trace{foot.cop_x.segment(range.first, n), foot.cop_y.segment(range.first, n), {}};
  trace.down = z >= least_force && !trace.cop_x.isNaN();
  if (trace.down.all()) return trace;
  trace.cop_x = trace.down.select(trace.cop_x, unknown);
  trace.cop_y = trace.down.select(trace.cop_y, unknown);
  const auto follow = [&](Eigen::Index i, Eigen::Index from) {
    if (std::isnan(trace.cop_x(i))) {
      trace.cop_x(i) = trace.cop_x(from);
      trace.cop_y(i) = trace.cop_y(from);
    }
    if (trace.down(from) && z(i) > 0.0 && z(i) < z(from)) trace.down(i) = true;
  };
  for (Eigen::Index i = 1; i < n; ++i) follow(i, i - 1);
  for (Eigen::Index i = n - 2; i >= 0; --i) follow(i, i + 1);
  return trace;
}

// Of the lead foot's series at the back foot's times, which fall between its own samples.
class Between {
 public:
  // `first` and `last` of the lead foot's samples, `place` among them counted from its first one.
  Between(double place, const foot::SampleRange& range) {
    const double inner = std::clamp(place - static_cast<double>(range.first), 0.0,
                                    static_cast<double>(range.count() - 2));
    left_ = static_cast<Eigen::Index>(inner);
    share_ = inner - static_cast<double>(left_);
    nearest_ = share_ < 0.5 ? left_ : left_ + 1;
    first_ = range.first;
  }
  [[nodiscard]] double in_foot(const Eigen::ArrayXd& series) const { return at(series, first_); }
  [[nodiscard]] double in_trace(const Eigen::ArrayXd& series) const { return at(series, 0); }
  [[nodiscard]] Eigen::Index nearest_in_trace() const { return nearest_; }

 private:
  [[nodiscard]] double at(const Eigen::ArrayXd& series, Eigen::Index first) const {
    const double left = series(first + left_);
    return left + share_ * (series(first + left_ + 1) - left);
  }
  Eigen::Index first_, left_, nearest_;
  double share_;
};

}  // namespace

double turning_impulse(const ThrowData& data, double from, double to,
                       const definitions::Settings& settings) {
  const foot::FootForces& back = data.back;
  const foot::FootForces& lead = data.lead;
  if (!(from <= to) || to > back.time(static_cast<double>(back.size() - 1))) return unknown;
  const foot::SampleRange range = foot::samples_in(back, from - back.step, to + back.step);
  const foot::SampleRange lead_range =
      foot::samples_in(lead, from - 2.0 * back.step, to + 2.0 * back.step);
  if (range.empty() || lead_range.count() < 2) return unknown;
  const Trace back_trace = trace_of(back, range, settings.least_turning_force);
  // A foot alone has no couple about its own centre of pressure.
  Eigen::ArrayXd moments =
      back_trace.down.select(back.free_moment.segment(range.first, range.count()), 0.0);
  const auto lead_z = lead.z.segment(lead_range.first, lead_range.count());
  if (lead_z.maxCoeff() >= settings.least_turning_force) {
    const Trace lead_trace = trace_of(lead, lead_range, settings.least_turning_force);
    for (Eigen::Index i = 0; i < moments.size(); ++i) {
      const Eigen::Index k = range.first + i;
      const Between between(lead.index(back.time(static_cast<double>(k))), lead_range);
      const double z2 = between.in_foot(lead.z);
      if (!lead_trace.down(between.nearest_in_trace()) || !(z2 > 0.0)) continue;
      moments(i) += between.in_foot(lead.free_moment);
      if (!back_trace.down(i)) continue;
      // About the common centre c = (z1 p1 + z2 p2) / (z1 + z2), with d = p1 - p2:
      // (p1 - c) x F1 + (p2 - c) x F2 = d x (z2 F1 - z1 F2) / (z1 + z2).
      const double z1 = back.z(k);
      const double dx = back_trace.cop_x(i) - between.in_trace(lead_trace.cop_x);
      const double dy = back_trace.cop_y(i) - between.in_trace(lead_trace.cop_y);
      const double fx = z2 * back.x(k) - z1 * between.in_foot(lead.x);
      const double fy = z2 * back.y(k) - z1 * between.in_foot(lead.y);
      moments(i) += (dx * fy - dy * fx) / (z1 + z2);
    }
  }
  const auto within = [&](double time) {
    return back.index(time) - static_cast<double>(range.first);
  };
  // Anticlockwise from above is a right-hander's way from the toe side to home.
  return -data.toe_side * signal::integral(moments, within(from), within(to)) * back.step;
}

}  // namespace moundwork::pitch
