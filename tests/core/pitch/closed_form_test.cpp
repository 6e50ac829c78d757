// SPDX-License-Identifier: GPL-3.0-or-later
// Throws made of half-sines, ramps and constants, whose events and integrals are known by hand.
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numbers>
#include <random>

#include "core/base/units.h"
#include "core/pitch/events.h"
#include "core/pitch/quantities.h"

using namespace moundwork;
using definitions::Event;
using definitions::Quantity;
using std::numbers::pi;

namespace {

constexpr double mass = 80.0;
constexpr double weight = mass * standard_gravity;
constexpr double contact = 2.0;  // the lead foot's ramp crosses 5 % BW here
constexpr double release = 2.14;
constexpr double step = 0.0005;

foot::FootForces foot(const std::function<double(double)>& x,
                      const std::function<double(double)>& y,
                      const std::function<double(double)>& z, double cop_x,
                      const std::function<double(double)>& cop_y, double twist = 0.0) {
  foot::FootForces forces;
  forces.step = step;
  const Eigen::Index n = 6001;
  for (Eigen::ArrayXd* series :
       {&forces.x, &forces.y, &forces.z, &forces.cop_x, &forces.cop_y, &forces.free_moment})
    series->resize(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const double t = forces.time(static_cast<double>(i));
    forces.x(i) = x(t);
    forces.y(i) = y(t);
    forces.z(i) = z(t);
    const bool loaded = z(t) >= 10.0;
    forces.cop_x(i) = loaded ? cop_x : NAN;
    forces.cop_y(i) = loaded ? cop_y(t) : NAN;
    forces.free_moment(i) = loaded ? twist : 0.0;
  }
  forces.contact_z = forces.raw_z = forces.z;
  forces.raw_x = forces.x;
  return forces;
}

double half_sine(double t, double begin, double width) {
  return t > begin && t < begin + width ? std::sin(pi * (t - begin) / width) : 0.0;
}

// Vertical under the lead foot: a ramp of 20 BW/s that crosses 5 % BW at `contact`, to 1 BW.
double lead_vertical(double t) {
  return weight * std::clamp(20.0 * (t - contact) + 0.05, 0.0, 1.0);
}

pitch::ThrowData example(bool left = false) {
  const double toe = left ? 1.0 : -1.0;
  const auto zero = [](double) { return 0.0; };
  pitch::ThrowData data;
  // Drive: 400 N half-sine of 0.6 s before contact; the foot's centre of pressure runs from 40 % to
  // 70 % of a 0.27 m foot between 1.4 s and 2.0 s. The back foot is unloaded from 2.08 s on.
  data.back = foot([](double t) { return 400.0 * half_sine(t, 1.4, 0.6); },
                   [toe](double t) { return toe * 100.0 * half_sine(t, 1.4, 0.6); },
                   [](double t) {
                     if (t < 0.5) return 0.6 * weight;
                     return t < 2.08 ? weight : 0.0;
                   },
                   0.05,
                   [toe](double t) {
                     const double share = 0.4 + 0.5 * std::clamp(t - 1.4, 0.0, 0.6);
                     return toe * 0.27 * share;
                   });
  data.lead = foot([](double t) { return -800.0 * half_sine(t, contact, 0.3); }, zero,
                   lead_vertical, 1.45, zero);
  data.coarse_contact = contact;
  data.mass = mass;
  data.height = 1.8;
  data.toe_side = toe;
  data.heel = Eigen::Vector2d(0.05, 0.0);
  data.toe = Eigen::Vector2d(0.05, toe * 0.27);
  data.release = release;
  data.ball_speed = 36.0;
  data.quiet_end = pitch::find_quiet_end(data.back, contact, weight, {});
  return data;
}

}  // namespace

TEST_CASE("events of a throw of known shape are where they were put") {
  const auto events = pitch::find_events(example(), {});
  const auto time = [&](Event event) { return definitions::at(events, event); };
  CHECK(time(Event::lead_contact) == Approx(contact).margin(1e-9));
  CHECK(time(Event::drive_peak) == Approx(1.7).margin(1e-6));
  // sin = 0.25 at asin(0.25) / pi of the half-sine.
  CHECK(time(Event::drive_start) == Approx(1.4 + 0.6 * std::asin(0.25) / pi).margin(1e-6));
  CHECK(time(Event::back_leg_loaded) == Approx(0.5).margin(step));
  CHECK(time(Event::back_foot_off) == Approx(2.08).margin(step));
  CHECK(time(Event::braking_peak) == Approx(contact + 0.15).margin(1e-6));
  CHECK(time(Event::release) == release);
}

TEST_CASE("impulses of half-sines are 2 P w / pi") {
  const auto data = example();
  const auto q = pitch::compute_quantities(data, pitch::find_events(data, {}), {});
  const auto value = [&](Quantity quantity) { return definitions::at(q, quantity); };
  CHECK(value(Quantity::braking_impulse_whole) == Approx(2 * 800 * 0.3 / pi).epsilon(1e-5));
  CHECK(value(Quantity::braking_impulse_to_peak) == Approx(800 * 0.3 / pi).epsilon(1e-5));
  const double by_release = 800 * 0.3 / pi * (1 - std::cos(pi * 0.14 / 0.3));
  CHECK(value(Quantity::braking_impulse) == Approx(by_release).epsilon(1e-5));
  CHECK(value(Quantity::braking_fraction_by_release) ==
        Approx(by_release / (2 * 800 * 0.3 / pi)).epsilon(1e-5));
  CHECK(value(Quantity::braking_impulse_per_mass) == Approx(by_release / mass).epsilon(1e-5));
  // From a quarter of the peak on: (1 + cos(asin 0.25)) / 2 of the whole.
  CHECK(value(Quantity::drive_impulse) ==
        Approx(400 * 0.6 / pi * (1 + std::cos(std::asin(0.25)))).epsilon(1e-5));
  CHECK(value(Quantity::momentum_at_contact) == Approx(2 * 400 * 0.6 / pi).epsilon(1e-5));
  CHECK(value(Quantity::momentum_at_release) ==
        Approx(2 * 400 * 0.6 / pi - by_release).epsilon(1e-5));
  // 0.2 BW s changes the speed of 85 kg by 1.96133 m/s (1 BW s is 9.80665 m/s for any mass).
  CHECK(value(Quantity::braking_peak_force_bw) == Approx(800 / weight).epsilon(1e-6));
}

TEST_CASE("times and rates follow from the shape") {
  const auto data = example();
  const auto q = pitch::compute_quantities(data, pitch::find_events(data, {}), {});
  const auto value = [&](Quantity quantity) { return definitions::at(q, quantity); };
  CHECK(value(Quantity::braking_timing) == Approx(0.01).margin(1e-6));
  CHECK(value(Quantity::contact_to_release) == Approx(0.14).margin(1e-9));
  CHECK(value(Quantity::both_feet_overlap) == Approx(0.08).margin(step));
  CHECK(value(Quantity::drive_peak_to_contact) == Approx(0.3).margin(1e-6));
  CHECK(value(Quantity::vertical_rate_greatest_bw) == Approx(20.0).epsilon(1e-6));
  CHECK(value(Quantity::braking_rate_mean) == Approx(800 / 0.15).epsilon(1e-5));
}

TEST_CASE("heel-toe numbers are percent of the foot, the same for both hands") {
  for (const bool left : {false, true}) {
    const auto data = example(left);
    const auto q = pitch::compute_quantities(data, pitch::find_events(data, {}), {});
    const auto value = [&](Quantity quantity) { return definitions::at(q, quantity); };
    CHECK(value(Quantity::heel_toe_at_drive_peak) == Approx(55.0).margin(1e-6));
    const double loaded = 0.9;  // s at 40 % before the drive begins to move it
    const double start = 0.6 * std::asin(0.25) / pi;
    const double mean = (loaded * 40.0 + start * (40.0 + 25.0 * start)) / (loaded + start);
    CHECK(value(Quantity::heel_toe_load_mean) == Approx(mean).margin(0.02));
    // Below 50 % until 0.2 s into the drive.
    const double whole = 1 + std::cos(std::asin(0.25));
    const double below = std::cos(std::asin(0.25)) - std::cos(pi / 3);
    CHECK(value(Quantity::heel_drive_share) == Approx(below / whole).margin(2e-3));
    CHECK(value(Quantity::load_direction) == Approx(std::atan2(100, 400)).margin(1e-6));
    CHECK(value(Quantity::load_tilt) ==
          Approx(std::atan2(std::hypot(400, 100), weight)).margin(1e-6));
  }
}

TEST_CASE("stride is the distance between the feet's mean centres of pressure") {
  auto data = example();
  data.back.cop_y.setConstant(0.0);
  const auto q = pitch::compute_quantities(data, pitch::find_events(data, {}), {});
  CHECK(definitions::at(q, Quantity::stride_length) == Approx(1.40).margin(1e-9));
  CHECK(definitions::at(q, Quantity::stride_length_height) == Approx(140.0 / 1.8).margin(1e-6));
}

TEST_CASE("two feet pushing apart sideways turn the body by their couple") {
  auto data = example();
  data.back.x.setZero();
  data.lead.x.setZero();
  data.back.y.setConstant(-50.0);
  data.lead.y.setConstant(50.0);
  data.back.cop_y = data.back.cop_y.isNaN().select(data.back.cop_y, 0.0);
  // Events are those of the drive that was there before.
  const auto events = pitch::find_events(example(), {});
  const auto q = pitch::compute_quantities(data, events, {});
  // From contact the feet are 1.4 m apart with 50 N each way until the back foot leaves at 80 ms;
  // one foot alone has no couple about its own centre of pressure.
  CHECK(definitions::at(q, Quantity::turning_impulse_after_contact) ==
        Approx(1.4 * 50.0 * 0.08).margin(0.05));
  data.back.free_moment.setConstant(3.0);
  const auto twisted = pitch::compute_quantities(data, events, {});
  const double drive = contact - definitions::at(events, Event::drive_start);
  CHECK(definitions::at(twisted, Quantity::turning_impulse_before_contact) -
            definitions::at(q, Quantity::turning_impulse_before_contact) ==
        Approx(3.0 * drive).margin(1e-3));
  // A left-hander turns the other way to home.
  data.toe_side = 1.0;
  CHECK(definitions::at(pitch::compute_quantities(data, events, {}),
                        Quantity::turning_impulse_before_contact) ==
        Approx(-definitions::at(twisted, Quantity::turning_impulse_before_contact)));
}

TEST_CASE("the turning moment follows a foot until it has left the ground") {
  // Carried by 20 N at 40 ms after contact and falling straight to nought at 80 ms, the back foot
  // pushes with 50 N all the while; its centre of pressure is told for the first half only.
  const auto events = pitch::find_events(example(), {});
  for (const double zero : {0.0, 2.0, -2.0}) {
    CAPTURE(zero);
    auto data = example();
    data.back.x.setZero();
    data.lead.x.setZero();
    data.lead.y.setConstant(50.0);
    data.back.y.setConstant(-50.0);
    for (Eigen::Index i = 0; i < data.back.size(); ++i) {
      const double t = data.back.time(static_cast<double>(i));
      if (t > contact + 0.04) data.back.z(i) = std::max(0.0, 500.0 * (contact + 0.08 - t));
      data.back.z(i) += zero;
      const bool told = data.back.z(i) >= 10.0;
      data.back.cop_x(i) = told ? 0.05 : NAN;
      data.back.cop_y(i) = told ? 0.0 : NAN;
    }
    const auto q = pitch::compute_quantities(data, events, {});
    // A zero 2 N too low hides the last 4 ms; one too high does not keep the foot on the ground.
    const double told_until = zero < 0.0 ? 0.076 : 0.08;
    CHECK(definitions::at(q, Quantity::turning_impulse_after_contact) ==
          Approx(1.4 * 50.0 * told_until).margin(1.4 * 50.0 * 2.0 * step));
  }
}

TEST_CASE("noise does not make the way of the centre of pressure longer") {
  // Straight on at 20 mm/s with white noise of 1 mm in each sample and direction. Left as it is,
  // the way would be longer by half the square of noise over step: 2.6 % with
  // (1 mm)^2 (2 pi 12.47 Hz 0.5 ms)^3 sqrt(2) / 16 in a step of 10 um.
  constexpr double speed = 0.02;
  constexpr double noise = 0.001;
  std::mt19937_64 engine(11);
  std::normal_distribution<double> unit;
  const auto events = pitch::find_events(example(), {});
  const double time =
      definitions::at(events, Event::drive_start) - definitions::at(events, Event::back_leg_loaded);
  double sum = 0.0;
  constexpr int draws = 60;
  for (int draw = 0; draw < draws; ++draw) {
    auto data = example();
    data.back.noise << 0.0, 0.0, 0.0, noise * weight, noise * weight, 0.0;
    for (Eigen::Index i = 0; i < data.back.size(); ++i) {
      data.back.cop_x(i) = 0.05 + noise * unit(engine);
      data.back.cop_y(i) = -speed * data.back.time(static_cast<double>(i)) + noise * unit(engine);
    }
    sum +=
        definitions::at(pitch::compute_quantities(data, events, {}), Quantity::balance_path_length);
  }
  CHECK(sum / draws == Approx(speed * time).epsilon(0.006));
}

TEST_CASE("what cannot be measured is not a number, never a guess") {
  auto data = example();
  data.heel.reset();
  data.quiet_end = NAN;
  data.release = NAN;
  const auto q = pitch::compute_quantities(data, pitch::find_events(data, {}), {});
  for (const Quantity quantity :
       {Quantity::heel_toe_at_drive_peak, Quantity::heel_drive_share, Quantity::momentum_at_contact,
        Quantity::braking_impulse, Quantity::braking_timing, Quantity::stride_length})
    CHECK(std::isnan(definitions::at(q, quantity)));
  CHECK(std::isfinite(definitions::at(q, Quantity::braking_impulse_whole)));
}

TEST_CASE("a braking peak that is not known takes no time away that does not need it") {
  const auto data = example();
  auto events = pitch::find_events(data, {});
  definitions::at(events, Event::braking_peak) = NAN;
  const auto q = pitch::compute_quantities(data, events, {});
  CHECK(definitions::at(q, Quantity::contact_to_release) == Approx(0.14).margin(1e-9));
  CHECK(std::isnan(definitions::at(q, Quantity::braking_timing)));
}

TEST_CASE("a lead plate that is never loaded has no contact and no numbers") {
  auto data = example();
  data.lead.contact_z.setZero();
  const auto events = pitch::find_events(data, {});
  CHECK(std::isnan(definitions::at(events, Event::lead_contact)));
  CHECK(std::isnan(definitions::at(events, Event::drive_peak)));
}
