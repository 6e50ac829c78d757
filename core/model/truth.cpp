// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/truth.h"

#include <algorithm>
#include <boost/math/quadrature/gauss.hpp>
#include <boost/math/tools/minima.hpp>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <numbers>
#include <optional>

#include "core/base/units.h"
#include "core/base/unknown.h"

namespace moundwork::model {
namespace {

using definitions::Event;
using definitions::Quantity;

// The definitions' thresholds, as printed in the definitions page.
constexpr double loaded_share = 0.9;        // BW
constexpr double loaded_for = 0.050;        // s
constexpr double contact_share = 0.05;      // BW
constexpr double contact_for = 0.010;       // s
constexpr double drive_start_share = 0.25;  // of the drive peak
constexpr double after_contact = 0.4;       // s
constexpr double least_cop_force = 50.0;    // N
constexpr double line_fit = 0.020;          // s
constexpr double ellipse_95 = 5.991;        // chi-square with 2 degrees of freedom at 0.95

constexpr double scan_step = 2e-4;  // s; no shape of the model turns within it
constexpr double panel = 5e-3;      // s, of the quadrature
using Function = std::function<double(double)>;

double root(const Function& f, double low, double high) {
  std::uintmax_t steps = 100;
  const auto bracket = boost::math::tools::toms748_solve(
      f, low, high, boost::math::tools::eps_tolerance<double>(50), steps);
  return 0.5 * (bracket.first + bracket.second);
}

// Time in (from, to] at which f rises through zero, the first or the last such.
std::optional<double> first_rise(const Function& f, double from, double to) {
  double before = f(from);
  for (double t = from; t < to;) {
    const double next = std::min(t + scan_step, to);
    const double now = f(next);
    if (before < 0.0 && now >= 0.0) return root(f, t, next);
    before = now;
    t = next;
  }
  return std::nullopt;
}

std::optional<double> last_rise(const Function& f, double from, double to) {
  double after = f(to);
  for (double t = to; t > from;) {
    const double previous = std::max(t - scan_step, from);
    const double now = f(previous);
    if (now < 0.0 && after >= 0.0) return root(f, previous, t);
    after = now;
    t = previous;
  }
  return std::nullopt;
}

// First rise after which f stays at or above zero for `hold`.
std::optional<double> first_lasting_rise(const Function& f, double from, double to, double hold) {
  while (true) {
    const auto rise = first_rise(f, from, to);
    if (!rise) return std::nullopt;
    const auto fall = first_rise([&](double t) { return -f(t); }, *rise + 1e-9, *rise + hold);
    if (!fall) return rise;
    from = *fall;
  }
}

double greatest_at(const Function& f, double from, double to) {
  double best = from;
  double value = f(from);
  for (double t = from; t <= to; t += scan_step)
    if (const double now = f(t); now > value) {
      value = now;
      best = t;
    }
  constexpr int bits = 26;  // half of a double's, all that a maximum's place can be known to
  return boost::math::tools::brent_find_minima([&](double t) { return -f(t); },
                                               std::max(from, best - scan_step),
                                               std::min(to, best + scan_step), bits)
      .first;
}

double integral(const Function& f, double from, double to) {
  if (!(to > from)) return to == from ? 0.0 : unknown;
  const int panels = static_cast<int>(std::ceil((to - from) / panel));
  const double width = (to - from) / panels;
  double sum = 0.0;
  for (int i = 0; i < panels; ++i)
    sum += boost::math::quadrature::gauss<double, 10>::integrate(f, from + i * width,
                                                                 from + (i + 1) * width);
  return sum;
}

// Greatest slope of a straight line fitted by least squares to f over a window of line_fit within
// [from, to]: 12 / w^3 times the integral of (s - middle) f(s).
double greatest_slope(const Function& f, double from, double to) {
  if (to - from < line_fit) return unknown;
  const auto slope = [&](double start) {
    const double middle = start + 0.5 * line_fit;
    return 12.0 / (line_fit * line_fit * line_fit) *
           integral([&](double s) { return (s - middle) * f(s); }, start, start + line_fit);
  };
  return slope(greatest_at(slope, from, to - line_fit));
}

class Definitions {
 public:
  explicit Definitions(const Scene& scene) : s_(scene), weight_(scene.mass * standard_gravity) {
    truth_.events.fill(unknown);
    truth_.quantities.fill(unknown);
  }

  Truth apply() {
    set(Quantity::ball_speed, s_.ball_speed);
    set(Event::release, s_.release);
    find_events();
    if (known(Event::lead_contact) && known(Event::drive_peak)) {
      drive();
      heel_toe();
      landing();
      braking();
      transfer();
      balance();
    }
    return truth_;
  }

 private:
  void set(Event event, double value) { truth_.events[static_cast<std::size_t>(event)] = value; }
  void set(Quantity quantity, double value) {
    truth_.quantities[static_cast<std::size_t>(quantity)] = value;
  }
  [[nodiscard]] bool known(Event event) const { return std::isfinite(truth_[event]); }
  [[nodiscard]] double back(double t, int axis) const { return s_.back(t).force[axis]; }
  [[nodiscard]] double lead(double t, int axis) const { return s_.lead(t).force[axis]; }
  // Toward the toe is away from the heel across the throwing line, on whichever side it lies.
  [[nodiscard]] double toe_side() const { return s_.foot.toe.y() < s_.foot.heel.y() ? -1.0 : 1.0; }

  [[nodiscard]] double heel_toe_at(double t) const {
    const Eigen::Vector2d line = s_.foot.toe - s_.foot.heel;
    return 100.0 * (s_.back(t).point - s_.foot.heel).dot(line) / line.squaredNorm();
  }

  void find_events() {
    const auto back_vertical = [this](double level) {
      return [this, level](double t) { return back(t, 2) - level * weight_; };
    };
    const auto lead_vertical = [this](double t) { return lead(t, 2) - contact_share * weight_; };
    const auto contact = first_lasting_rise(lead_vertical, s_.lead_from, s_.end, contact_for);
    if (!contact) return;
    set(Event::lead_contact, *contact);
    if (const auto loaded =
            first_lasting_rise(back_vertical(loaded_share), s_.quiet, *contact, loaded_for))
      set(Event::back_leg_loaded, *loaded);
    const double peak = greatest_at([this](double t) { return back(t, 0); }, s_.quiet, *contact);
    set(Event::drive_peak, peak);
    const double level = drive_start_share * back(peak, 0);
    if (const auto start = last_rise([&](double t) { return back(t, 0) - level; }, s_.quiet, peak))
      set(Event::drive_start, *start);
    const auto below = [&](double t) { return -back_vertical(contact_share)(t); };
    if (const auto off = last_rise(below, *contact, *contact + after_contact))
      set(Event::back_foot_off, *off);
    set(Event::braking_peak,
        greatest_at([this](double t) { return -lead(t, 0); }, *contact, *contact + after_contact));
    set(Event::vertical_peak,
        greatest_at([this](double t) { return lead(t, 2); }, *contact, *contact + after_contact));
  }

  void drive() {
    const double peak = truth_[Event::drive_peak];
    const double contact = truth_[Event::lead_contact];
    const FootLoad load = s_.back(peak);
    const auto forward = [this](double t) { return std::max(back(t, 0), 0.0); };
    set(Quantity::drive_peak_force, load.force.x());
    set(Quantity::drive_peak_force_bw, load.force.x() / weight_);
    const double impulse = integral(forward, truth_[Event::drive_start], contact);
    const double whole =
        integral(forward, truth_[Event::drive_start], truth_[Event::back_foot_off]);
    set(Quantity::drive_impulse, impulse);
    set(Quantity::drive_impulse_per_mass, impulse / s_.mass);
    set(Quantity::drive_impulse_to_foot_off, whole);
    set(Quantity::drive_impulse_to_foot_off_per_mass, whole / s_.mass);
    set(Quantity::load_direction, std::atan2(toe_side() * load.force.y(), load.force.x()));
    set(Quantity::load_tilt,
        std::atan2(std::hypot(load.force.x(), load.force.y()), load.force.z()));
    set(Quantity::drive_peak_to_contact, contact - peak);
    const auto heel_part = [&](double t) {
      const FootLoad at = s_.back(t);
      return at.force.z() >= least_cop_force && heel_toe_at(t) < 50.0 ? std::max(at.force.x(), 0.0)
                                                                      : 0.0;
    };
    // The share jumps where the position passes 50 %: the integral is taken between those times.
    const double start = truth_[Event::drive_start];
    if (!std::isfinite(start)) return;
    const auto middle = [this](double t) { return heel_toe_at(t) - 50.0; };
    double heel = 0.0;
    double from = start;
    while (from < contact) {
      const bool on_heel = middle(from + 1e-9) < 0.0;
      const auto crossing = first_rise([&](double t) { return on_heel ? middle(t) : -middle(t); },
                                       from + 1e-9, contact);
      const double to = crossing ? *crossing : contact;
      if (on_heel) heel += integral(heel_part, from, to);
      from = to;
    }
    set(Quantity::heel_drive_share, heel / impulse);
  }

  [[nodiscard]] double weighted_heel_toe(double from, double to) const {
    if (!std::isfinite(from) || !std::isfinite(to)) return unknown;
    const auto weight = [this](double t) {
      const double vertical = back(t, 2);
      return vertical >= least_cop_force ? vertical : 0.0;
    };
    return integral([&](double t) { return weight(t) * heel_toe_at(t); }, from, to) /
           integral(weight, from, to);
  }

  void heel_toe() {
    const double at_peak = back(truth_[Event::drive_peak], 2) >= least_cop_force
                               ? heel_toe_at(truth_[Event::drive_peak])
                               : unknown;
    const double load =
        weighted_heel_toe(truth_[Event::back_leg_loaded], truth_[Event::drive_start]);
    set(Quantity::heel_toe_at_drive_peak, at_peak);
    set(Quantity::heel_toe_load_mean, load);
    set(Quantity::heel_toe_drive_mean,
        weighted_heel_toe(truth_[Event::drive_start], truth_[Event::drive_peak]));
    set(Quantity::heel_toe_travel, at_peak - load);
  }

  void landing() {
    const double contact = truth_[Event::lead_contact];
    const double peak = truth_[Event::vertical_peak];
    const auto vertical = [this](double t) { return lead(t, 2); };
    const double most = vertical(peak);
    const double mean_rate = (most - vertical(contact)) / (peak - contact);
    const double greatest = greatest_slope(vertical, contact, peak);
    set(Quantity::vertical_peak_force, most);
    set(Quantity::vertical_peak_force_bw, most / weight_);
    set(Quantity::vertical_rate_mean, mean_rate);
    set(Quantity::vertical_rate_mean_bw, mean_rate / weight_);
    set(Quantity::vertical_rate_greatest, greatest);
    set(Quantity::vertical_rate_greatest_bw, greatest / weight_);
  }

  void braking() {
    const double contact = truth_[Event::lead_contact];
    const double peak = truth_[Event::braking_peak];
    const double release = truth_[Event::release];
    const auto brake = [this](double t) { return -lead(t, 0); };
    const double most = brake(peak);
    set(Quantity::braking_peak_force, most);
    set(Quantity::braking_peak_force_bw, most / weight_);
    const double by_release = integral(brake, contact, release);
    const double to_peak = integral(brake, contact, peak);
    set(Quantity::braking_impulse, by_release);
    set(Quantity::braking_impulse_per_mass, by_release / s_.mass);
    set(Quantity::braking_impulse_to_peak, to_peak);
    set(Quantity::braking_impulse_to_peak_per_mass, to_peak / s_.mass);
    if (const auto over = first_rise([this](double t) { return lead(t, 0); }, peak, s_.end)) {
      const double whole = integral(brake, contact, *over);
      set(Quantity::braking_impulse_whole, whole);
      set(Quantity::braking_impulse_whole_per_mass, whole / s_.mass);
      set(Quantity::braking_fraction_by_release, by_release / whole);
    }
    set(Quantity::braking_timing, peak - release);
    set(Quantity::contact_to_release, release - contact);
    const double mean_rate = (most - brake(contact)) / (peak - contact);
    const double greatest = greatest_slope(brake, contact, peak);
    set(Quantity::braking_rate_mean, mean_rate);
    set(Quantity::braking_rate_mean_bw, mean_rate / weight_);
    set(Quantity::braking_rate_greatest, greatest);
    set(Quantity::braking_rate_greatest_bw, greatest / weight_);
  }

  // Moment about the vertical through the common centre of pressure.
  [[nodiscard]] double turning(double t) const {
    const FootLoad feet[] = {s_.back(t), s_.lead(t)};
    double vertical = 0.0;
    Eigen::Vector2d common = Eigen::Vector2d::Zero();
    for (const FootLoad& foot : feet) {
      vertical += foot.force.z();
      common += foot.force.z() * foot.point;
    }
    if (vertical <= 0.0) return 0.0;
    common /= vertical;
    double moment = 0.0;
    for (const FootLoad& foot : feet) {
      const Eigen::Vector2d arm = foot.point - common;
      moment += arm.x() * foot.force.y() - arm.y() * foot.force.x() + foot.free_moment;
    }
    return moment;
  }

  void transfer() {
    const double contact = truth_[Event::lead_contact];
    const double release = truth_[Event::release];
    set(Quantity::both_feet_overlap, truth_[Event::back_foot_off] - contact);
    const auto both = [this](double t) { return back(t, 0) + lead(t, 0); };
    set(Quantity::momentum_at_contact, integral(both, s_.quiet, contact));
    set(Quantity::momentum_at_release, integral(both, s_.quiet, release));
    const auto turn = [this](double t) { return -toe_side() * turning(t); };
    set(Quantity::turning_impulse_before_contact,
        integral(turn, truth_[Event::drive_start], contact));
    set(Quantity::turning_impulse_after_contact, integral(turn, contact, release));

    const Eigen::Vector2d start =
        mean_point(s_.back, truth_[Event::back_leg_loaded], truth_[Event::drive_start]);
    const double stride = (mean_point(s_.lead, contact, release) - start).norm();
    set(Quantity::stride_length, stride);
    set(Quantity::stride_length_height, 100.0 * stride / s_.height);
  }

  // Mean centre of pressure weighted by vertical force.
  static Eigen::Vector2d mean_point(const std::function<FootLoad(double)>& foot, double from,
                                    double to) {
    if (!std::isfinite(from) || !std::isfinite(to)) return Eigen::Vector2d::Constant(unknown);
    const auto weight = [&](double t) {
      const double vertical = foot(t).force.z();
      return vertical >= least_cop_force ? vertical : 0.0;
    };
    const double whole = integral(weight, from, to);
    const auto along = [&](Eigen::Index axis) {
      return integral([&](double t) { return weight(t) * foot(t).point[axis]; }, from, to) / whole;
    };
    return {along(0), along(1)};
  }

  void balance() {
    const double from = truth_[Event::back_leg_loaded];
    const double to = truth_[Event::drive_start];
    if (!(to > from)) return;
    const auto axis = [this](Eigen::Index i) {
      return [this, i](double t) { return s_.back(t).point[i]; };
    };
    // A chord of 0.2 ms falls short of the sway's arc by less than one part in a million.
    double path = 0.0;
    const int chords = static_cast<int>(std::ceil((to - from) / scan_step));
    Eigen::Vector2d last = s_.back(from).point;
    for (int i = 1; i <= chords; ++i) {
      const Eigen::Vector2d now = s_.back(from + (to - from) * i / chords).point;
      path += (now - last).norm();
      last = now;
    }
    set(Quantity::balance_path_length, path);
    const double time = to - from;
    const double mean_x = integral(axis(0), from, to) / time;
    const double mean_y = integral(axis(1), from, to) / time;
    const auto covariance = [&](Eigen::Index i, double mean_i, Eigen::Index j, double mean_j) {
      return integral(
                 [&](double t) {
                   const Eigen::Vector2d point = s_.back(t).point;
                   return (point[i] - mean_i) * (point[j] - mean_j);
                 },
                 from, to) /
             time;
    };
    const double xx = covariance(0, mean_x, 0, mean_x);
    const double yy = covariance(1, mean_y, 1, mean_y);
    const double xy = covariance(0, mean_x, 1, mean_y);
    set(Quantity::balance_sway_area,
        std::numbers::pi * ellipse_95 * std::sqrt(std::max(xx * yy - xy * xy, 0.0)));
  }

  const Scene& s_;
  double weight_;  // N
  Truth truth_{};
};

}  // namespace

Truth find_truth(const Scene& scene) { return Definitions(scene).apply(); }

Scene scene_of(const Pitch& pitch, double ball_speed) {
  Scene scene;
  scene.back = [&pitch](double t) { return pitch.back.load(t); };
  scene.lead = [&pitch](double t) { return pitch.lead.load(t); };
  scene.foot = pitch.foot;
  scene.mass = pitch.mass;
  scene.height = pitch.height;
  scene.quiet = pitch.quiet;
  scene.lead_from = pitch.lift;
  scene.end = pitch.standing;
  scene.release = pitch.release;
  scene.ball_speed = ball_speed;
  return scene;
}

}  // namespace moundwork::model
