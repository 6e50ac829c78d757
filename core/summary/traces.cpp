// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/traces.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "core/base/units.h"
#include "core/base/unknown.h"
#include "core/definitions/catalogue.h"
#include "core/foot/heel_toe.h"
#include "core/pitch/session_throws.h"
#include "core/session/edit_state.h"
#include "core/session/result_settings.h"
#include "core/signal/series.h"
#include "core/summary/counted.h"

namespace moundwork::summary {
namespace {

// About lead contact: the drive before it, the whole of the braking after it.
constexpr double shown_before = 0.5;  // s
constexpr double shown_after = 0.35;
constexpr double shown_step = 0.0025;
constexpr int phase_parts = 24;

double time_of(const session::ResultThrow& one, definitions::Event event) {
  return value_of(one.events, definitions::entry(event).key).value;
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
    return {mean, (count_ > 1.0).select(variance.max(0.0).sqrt(), unknown)};
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
  Collector(const session::Session& session, const definitions::Settings& settings)
      : session_(session),
        settings_(settings),
        weight_(session_.athlete.mass.value * standard_gravity) {
    if (session_.foot_line) {
      heel_ = session_.foot_line->heel.head<2>();
      heel_toe_.emplace(heel_, session_.foot_line->toe.head<2>());
      line_ = session_.foot_line->toe.head<2>() - heel_;
      forward_ = Eigen::Vector2d(line_.y(), -line_.x()).normalized();
      if (forward_.x() < 0.0) forward_ = -forward_;
    }
  }

  void add(const session::ResultThrow& one, const pitch::ThrowData& data);
  [[nodiscard]] Traces traces() const;

 private:
  [[nodiscard]] Eigen::ArrayXd sampled(const foot::FootForces& foot, const Eigen::ArrayXd& values,
                                       double contact) const;
  [[nodiscard]] FootPoint foot_point(const foot::FootForces& back, double time) const;
  void add_phase(const foot::FootForces& back, double from, double to, Averager& along,
                 Averager& forward) const;
  void add_foot(const session::ResultThrow& one, const foot::FootForces& back);

  const session::Session& session_;
  const definitions::Settings& settings_;
  double weight_;
  Eigen::Index shown_ =
      static_cast<Eigen::Index>(std::lround((shown_before + shown_after) / shown_step)) + 1;
  Eigen::Vector2d heel_ = Eigen::Vector2d::Zero(), line_ = heel_, forward_ = heel_;
  std::optional<foot::HeelToeLine> heel_toe_;
  Averager back_x_{shown_}, lead_x_{shown_}, lead_z_{shown_};
  EventMean drive_peak_, foot_off_, braking_peak_, release_;
  PathAverager foot_;
  int throws_ = 0;
};

Eigen::ArrayXd Collector::sampled(const foot::FootForces& foot, const Eigen::ArrayXd& values,
                                  double contact) const {
  Eigen::ArrayXd result(shown_);
  const double last = static_cast<double>(values.size() - 1);
  for (Eigen::Index i = 0; i < shown_; ++i) {
    const double index = foot.index(contact - shown_before + static_cast<double>(i) * shown_step);
    result(i) = index < 0.0 || index > last ? unknown : signal::value_at(values, index) / weight_;
  }
  return result;
}

FootPoint Collector::foot_point(const foot::FootForces& back, double time) const {
  const double index = back.index(time);
  if (index < 0.0 || index > static_cast<double>(back.size() - 1) ||
      signal::value_at(back.z, index) < settings_.least_cop_force)
    return {unknown, unknown};
  const Eigen::Vector2d place(signal::value_at(back.cop_x, index),
                              signal::value_at(back.cop_y, index));
  return {heel_toe_->percent(place.x(), place.y()), (place - heel_).dot(forward_)};
}

void Collector::add_phase(const foot::FootForces& back, double from, double to, Averager& along,
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

void Collector::add_foot(const session::ResultThrow& one, const foot::FootForces& back) {
  const double loaded = time_of(one, definitions::Event::back_leg_loaded);
  const double start = time_of(one, definitions::Event::drive_start);
  const double peak = time_of(one, definitions::Event::drive_peak);
  if (!(start < peak)) return;
  const FootPoint at_peak = foot_point(back, peak);
  if (!std::isfinite(at_peak.along)) return;
  if (loaded < start) add_phase(back, loaded, start, foot_.load_along, foot_.load_forward);
  add_phase(back, start, peak, foot_.drive_along, foot_.drive_forward);
  foot_.path.each_peak.push_back(at_peak);
  ++foot_.path.throws;
}

void Collector::add(const session::ResultThrow& one, const pitch::ThrowData& data) {
  const double contact = seconds(one.contact);
  back_x_.add(sampled(data.back, data.back.x, contact));
  lead_x_.add(sampled(data.lead, data.lead.x, contact));
  lead_z_.add(sampled(data.lead, data.lead.z, contact));
  drive_peak_.add(time_of(one, definitions::Event::drive_peak) - contact);
  foot_off_.add(time_of(one, definitions::Event::back_foot_off) - contact);
  braking_peak_.add(time_of(one, definitions::Event::braking_peak) - contact);
  release_.add(time_of(one, definitions::Event::release) - contact);
  if (session_.foot_line) add_foot(one, data.back);
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
  path.source = session_.foot_line->source;
  traces.foot = std::move(path);
  return traces;
}

// The throw of a session that a result is of.
std::optional<std::size_t> index_of(const std::vector<double>& contacts, double contact) {
  for (std::size_t i = 0; i < contacts.size(); ++i)
    if (std::abs(contacts[i] - contact) <= session::same_throw) return i;
  return std::nullopt;
}

}  // namespace

Result<Traces> read_traces(const session::Reader& reader, const session::ResultSet& results,
                           const std::vector<session::ResultThrow>& throws,
                           const Progress& progress) {
  if (throws.empty()) return Collector(reader.session(), {}).traces();
  const auto settings = session::settings_of(results, reader.name());
  if (!settings) return tl::unexpected(settings.error());
  Collector collector(reader.session(), *settings);
  const auto found = pitch::SessionThrows::find(reader, *settings, progress);
  if (!found) return tl::unexpected(found.error());
  for (const auto& one : throws) {
    const auto index = index_of(found->contacts(), seconds(one.contact));
    if (!index) continue;
    const auto thrown = found->take(*index);
    if (!thrown) return tl::unexpected(thrown.error());
    collector.add(one, thrown->data());
  }
  return collector.traces();
}

}  // namespace moundwork::summary
