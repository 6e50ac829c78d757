// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/traces.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/base/units.h"
#include "core/pitch/catalogue.h"
#include "core/pitch/foot_forces.h"
#include "core/pitch/load_trace.h"
#include "core/pitch/series.h"
#include "core/pitch/window.h"
#include "core/pitch/zero.h"
#include "core/session/sample_clock.h"
#include "core/summary/counted.h"

namespace moundwork::summary {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
// About lead contact: the drive before it, the whole of the braking after it.
constexpr double shown_before = 0.5;  // s
constexpr double shown_after = 0.35;
constexpr double shown_step = 0.0025;
constexpr double filter_margin = 0.2;  // s of samples at either end for the low-pass to settle
constexpr int phase_parts = 24;

double time_of(const session::ResultThrow& one, pitch::Event event) {
  return value_of(one.events, pitch::entry(event).key).value;
}

pitch::Settings settings_of(const session::ResultSet& results) {
  pitch::Settings settings;
  const auto json = nlohmann::json::parse(results.settings, nullptr, false);
  try {
    if (!json.is_discarded()) json.get_to(settings);
  } catch (const std::exception&) {
    // Settings of another version: the traces are drawn under today's.
    return {};
  }
  return settings;
}

// One plate with what its windows are cut by.
struct PlateSource {
  const session::Plate* plate = nullptr;
  session::SampleClock clock;
  std::vector<pitch::UnloadedStretch> unloaded;
};

Result<PlateSource> source_of(const session::Reader& reader, session::PlateRole role,
                              const pitch::Settings& settings) {
  const auto& session = reader.session();
  for (const session::Plate& plate : session.plates) {
    if (plate.role != role) continue;
    const auto blocks = reader.blocks(plate.device);
    if (!blocks) return tl::unexpected(blocks.error());
    auto clock = session::SampleClock::make(session.devices[static_cast<std::size_t>(plate.device)],
                                            *blocks, reader.sample_count(plate.device));
    if (!clock) return fail(reader.path().string(), clock.error().sentence());
    const auto trace = pitch::trace_load(reader, plate, *clock, clock->begin(), clock->end(),
                                         [](Eigen::Index) { return true; });
    if (!trace) return tl::unexpected(trace.error());
    return PlateSource{&plate, std::move(*clock), pitch::unloaded_stretches(*trace, settings)};
  }
  return fail(reader.path().string(), "has not both plates", "import it again with both");
}

Result<pitch::FootForces> forces_of(const session::Reader& reader, const PlateSource& source,
                                    pitch::Span span, double contact,
                                    const pitch::Settings& settings) {
  const auto window =
      pitch::cut_window(reader, *source.plate, source.clock, span,
                        pitch::nearest_stretch(source.unloaded, contact - 0.5, contact), settings);
  if (!window) return tl::unexpected(window.error());
  return pitch::filter_forces(*window, settings.low_pass, settings);
}

// Means and spreads of traces that come one by one.
class Averager {
 public:
  explicit Averager(Eigen::Index size)
      : count_(Eigen::ArrayXd::Zero(size)), sum_(count_), squares_(count_) {}
  void add(const Eigen::ArrayXd& values) {
    for (Eigen::Index i = 0; i < values.size(); ++i) {
      if (!std::isfinite(values(i))) continue;
      count_(i) += 1.0;
      sum_(i) += values(i);
      squares_(i) += values(i) * values(i);
    }
  }
  [[nodiscard]] MeanTrace trace() const {
    const Eigen::ArrayXd mean = sum_ / count_;
    const Eigen::ArrayXd variance = (squares_ - count_ * mean.square()) / (count_ - 1.0);
    return {mean, (count_ > 1.0).select(variance.max(0.0).sqrt(), nan)};
  }

 private:
  Eigen::ArrayXd count_, sum_, squares_;
};

class EventMean {
 public:
  void add(double time) {
    if (!std::isfinite(time)) return;
    sum_ += time;
    ++count_;
  }
  [[nodiscard]] std::optional<MeanEvent> mean() const {
    if (count_ == 0) return std::nullopt;
    return MeanEvent{sum_ / count_, count_};
  }

 private:
  double sum_ = 0.0;
  int count_ = 0;
};

struct PathAverager {
  Averager load_along{phase_parts}, load_forward{phase_parts};
  Averager drive_along{phase_parts}, drive_forward{phase_parts};
  FootPath path;
};

class Collector {
 public:
  Collector(const session::Reader& reader, const pitch::Settings& settings)
      : session_(reader.session()),
        settings_(settings),
        weight_(session_.athlete.mass.value * standard_gravity) {
    if (session_.foot_line) {
      heel_ = session_.foot_line->heel.head<2>();
      line_ = session_.foot_line->toe.head<2>() - heel_;
      forward_ = Eigen::Vector2d(line_.y(), -line_.x()).normalized();
      if (forward_.x() < 0.0) forward_ = -forward_;
    }
  }

  void add(const session::ResultThrow& one, const pitch::FootForces& back,
           const pitch::FootForces& lead);
  [[nodiscard]] Traces traces() const;

 private:
  [[nodiscard]] Eigen::ArrayXd sampled(const pitch::FootForces& foot, const Eigen::ArrayXd& values,
                                       double contact) const;
  [[nodiscard]] FootPoint foot_point(const pitch::FootForces& back, double time) const;
  void add_phase(const pitch::FootForces& back, double from, double to, Averager& along,
                 Averager& forward) const;
  void add_foot(const session::ResultThrow& one, const pitch::FootForces& back);

  const session::Session& session_;
  const pitch::Settings& settings_;
  double weight_;
  Eigen::Index shown_ =
      static_cast<Eigen::Index>(std::lround((shown_before + shown_after) / shown_step)) + 1;
  Eigen::Vector2d heel_ = Eigen::Vector2d::Zero(), line_ = heel_, forward_ = heel_;
  Averager back_x_{shown_}, lead_x_{shown_}, lead_z_{shown_};
  EventMean drive_peak_, foot_off_, braking_peak_, release_;
  PathAverager foot_;
  int throws_ = 0;
};

Eigen::ArrayXd Collector::sampled(const pitch::FootForces& foot, const Eigen::ArrayXd& values,
                                  double contact) const {
  Eigen::ArrayXd result(shown_);
  const double last = static_cast<double>(values.size() - 1);
  for (Eigen::Index i = 0; i < shown_; ++i) {
    const double index = foot.index(contact - shown_before + static_cast<double>(i) * shown_step);
    result(i) = index < 0.0 || index > last ? nan : pitch::value_at(values, index) / weight_;
  }
  return result;
}

FootPoint Collector::foot_point(const pitch::FootForces& back, double time) const {
  const double index = back.index(time);
  if (index < 0.0 || index > static_cast<double>(back.size() - 1) ||
      pitch::value_at(back.z, index) < settings_.least_cop_force)
    return {nan, nan};
  const Eigen::Vector2d from_heel =
      Eigen::Vector2d(pitch::value_at(back.cop_x, index), pitch::value_at(back.cop_y, index)) -
      heel_;
  return {100.0 * from_heel.dot(line_) / line_.squaredNorm(), from_heel.dot(forward_)};
}

void Collector::add_phase(const pitch::FootForces& back, double from, double to, Averager& along,
                          Averager& forward) const {
  Eigen::ArrayXd s(phase_parts);
  Eigen::ArrayXd f(phase_parts);
  for (int part = 0; part < phase_parts; ++part) {
    const FootPoint point = foot_point(back, from + (to - from) * part / (phase_parts - 1.0));
    s(part) = point.along;
    f(part) = point.forward;
  }
  along.add(s);
  forward.add(f);
}

void Collector::add_foot(const session::ResultThrow& one, const pitch::FootForces& back) {
  const double loaded = time_of(one, pitch::Event::back_leg_loaded);
  const double start = time_of(one, pitch::Event::drive_start);
  const double peak = time_of(one, pitch::Event::drive_peak);
  if (!(start < peak)) return;
  const FootPoint at_peak = foot_point(back, peak);
  if (!std::isfinite(at_peak.along)) return;
  if (loaded < start) add_phase(back, loaded, start, foot_.load_along, foot_.load_forward);
  add_phase(back, start, peak, foot_.drive_along, foot_.drive_forward);
  foot_.path.each_peak.push_back(at_peak);
  ++foot_.path.throws;
}

void Collector::add(const session::ResultThrow& one, const pitch::FootForces& back,
                    const pitch::FootForces& lead) {
  const double contact = seconds(one.contact);
  back_x_.add(sampled(back, back.x, contact));
  lead_x_.add(sampled(lead, lead.x, contact));
  lead_z_.add(sampled(lead, lead.z, contact));
  drive_peak_.add(time_of(one, pitch::Event::drive_peak) - contact);
  foot_off_.add(time_of(one, pitch::Event::back_foot_off) - contact);
  braking_peak_.add(time_of(one, pitch::Event::braking_peak) - contact);
  release_.add(time_of(one, pitch::Event::release) - contact);
  if (session_.foot_line) add_foot(one, back);
  ++throws_;
}

std::vector<FootPoint> points_of(const Averager& along, const Averager& forward) {
  const Eigen::ArrayXd s = along.trace().mean;
  const Eigen::ArrayXd f = forward.trace().mean;
  std::vector<FootPoint> points;
  for (Eigen::Index i = 0; i < s.size(); ++i)
    if (std::isfinite(s(i))) points.push_back({s(i), f(i)});
  return points;
}

Traces Collector::traces() const {
  Traces traces;
  traces.forces = {
      throws_,         -shown_before,      shown_step,       back_x_.trace(),      lead_x_.trace(),
      lead_z_.trace(), drive_peak_.mean(), foot_off_.mean(), braking_peak_.mean(), release_.mean()};
  if (foot_.path.throws == 0) return traces;
  FootPath path = foot_.path;
  path.load = points_of(foot_.load_along, foot_.load_forward);
  path.drive = points_of(foot_.drive_along, foot_.drive_forward);
  for (const FootPoint& point : path.each_peak) {
    path.drive_peak.along += point.along / path.throws;
    path.drive_peak.forward += point.forward / path.throws;
  }
  path.length = line_.norm();
  path.toe_right = line_.y() < 0.0;
  path.estimated = session_.foot_line->source == session::FootLineSource::foot_length;
  traces.foot = std::move(path);
  return traces;
}

// From where the back foot's phases begin to where the traces end.
pitch::Span span_of(const session::ResultThrow& one) {
  const double contact = seconds(one.contact);
  double begin = contact - shown_before;
  for (const auto event : {pitch::Event::back_leg_loaded, pitch::Event::drive_start})
    if (const double time = time_of(one, event); time < begin) begin = time;
  return {begin - filter_margin, contact + shown_after + filter_margin};
}

}  // namespace

Result<Traces> read_traces(const session::Reader& reader, const session::ResultSet& results,
                           const std::vector<session::ResultThrow>& throws) {
  const pitch::Settings settings = settings_of(results);
  Collector collector(reader, settings);
  if (throws.empty()) return collector.traces();
  const auto back = source_of(reader, session::PlateRole::back, settings);
  if (!back) return tl::unexpected(back.error());
  const auto lead = source_of(reader, session::PlateRole::lead, settings);
  if (!lead) return tl::unexpected(lead.error());
  for (const auto& one : throws) {
    const auto back_forces = forces_of(reader, *back, span_of(one), seconds(one.contact), settings);
    if (!back_forces) return tl::unexpected(back_forces.error());
    const auto lead_forces = forces_of(reader, *lead, span_of(one), seconds(one.contact), settings);
    if (!lead_forces) return tl::unexpected(lead_forces.error());
    collector.add(one, *back_forces, *lead_forces);
  }
  return collector.traces();
}

}  // namespace moundwork::summary
