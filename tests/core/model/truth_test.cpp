// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/truth.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "core/base/units.h"

using namespace moundwork;
using namespace moundwork::model;
using definitions::Event;
using definitions::Quantity;

namespace {

constexpr double pi = 3.14159265358979323846;
constexpr double mass = 80.0;
constexpr double weight = mass * standard_gravity;

double half_sine(double t, double from, double width) {
  return t > from && t < from + width ? std::sin(pi * (t - from) / width) : 0.0;
}

// A throw whose every value can be worked out by hand. Back foot: half the weight, all of it along
// a straight line between 1.0 and 1.4 s, a half sine of drive (0.6 BW, 0.4 s) from 2.0 s; lead foot
// from 2.3 s: vertical half sine of 2 BW over 0.3 s, x force a full sine of 1 BW over 0.4 s,
// braking first.
Scene by_hand() {
  Scene scene;
  scene.mass = mass;
  scene.height = 1.8;
  scene.foot = {{0.05, 0.14}, {0.05, -0.14}};
  scene.quiet = 0.5;
  scene.lead_from = 1.0;
  scene.end = 3.5;
  scene.release = 2.45;
  scene.ball_speed = 38.0;
  scene.back = [](double t) {
    FootLoad load;
    double share = 0.5;
    if (t > 1.0) share = 0.5 + 0.5 * std::min((t - 1.0) / 0.4, 1.0);
    if (t > 2.2) share = std::max(0.0, 1.0 - (t - 2.2) / 0.2);
    load.force = {0.6 * weight * half_sine(t, 2.0, 0.4), 0.06 * weight * half_sine(t, 2.0, 0.4),
                  share * weight};
    // From the heel's 40 % to 80 %, linear between 2.0 and 2.4 s.
    const double along = 0.4 + (t > 2.0 ? std::min((t - 2.0) / 0.4, 1.0) * 0.4 : 0.0);
    load.point = {0.05, 0.14 - 0.28 * along};
    load.free_moment = t > 2.0 && t < 2.6 ? 3.0 : 0.0;
    return load;
  };
  scene.lead = [](double t) {
    FootLoad load;
    load.force = {t > 2.3 && t < 2.7 ? -weight * std::sin(2.0 * pi * (t - 2.3) / 0.4) : 0.0, 0.0,
                  2.0 * weight * half_sine(t, 2.3, 0.3)};
    load.point = {1.45, 0.0};
    return load;
  };
  return scene;
}

}  // namespace

TEST_CASE("true events of a throw made of half sines are those worked out by hand") {
  const Truth truth = find_truth(by_hand());
  CHECK(truth[Event::back_leg_loaded] == Approx(1.0 + 0.4 * 0.8).margin(1e-9));
  CHECK(truth[Event::drive_peak] == Approx(2.2).margin(1e-7));
  // A quarter of a half sine's peak: asin(1/4) of its phase.
  CHECK(truth[Event::drive_start] == Approx(2.0 + 0.4 * std::asin(0.25) / pi).margin(1e-9));
  const double contact = 2.3 + 0.3 * std::asin(0.025) / pi;
  CHECK(truth[Event::lead_contact] == Approx(contact).margin(1e-9));
  CHECK(truth[Event::back_foot_off] == Approx(2.4 - 0.05 * 0.2).margin(1e-9));
  CHECK(truth[Event::vertical_peak] == Approx(2.45).margin(1e-7));
  CHECK(truth[Event::braking_peak] == Approx(2.4).margin(1e-7));
  CHECK(truth[Event::release] == 2.45);
}

TEST_CASE("true quantities of a throw made of half sines are those worked out by hand") {
  const Truth truth = find_truth(by_hand());
  const double contact = 2.3 + 0.3 * std::asin(0.025) / pi;
  const double start = 2.0 + 0.4 * std::asin(0.25) / pi;
  const auto q = [&](Quantity quantity) { return truth[quantity]; };
  const auto drive = [](double from, double to) {  // integral of 0.6 BW sin(pi (t - 2) / 0.4)
    return 0.6 * weight * 0.4 / pi *
           (std::cos(pi * (from - 2.0) / 0.4) - std::cos(pi * (to - 2.0) / 0.4));
  };
  CHECK(q(Quantity::drive_peak_force_bw) == Approx(0.6).epsilon(1e-9));
  CHECK(q(Quantity::drive_impulse) == Approx(drive(start, contact)).epsilon(1e-8));
  CHECK(q(Quantity::drive_impulse_per_mass) == Approx(drive(start, contact) / mass).epsilon(1e-8));
  CHECK(q(Quantity::drive_impulse_to_foot_off) == Approx(drive(start, 2.39)).epsilon(1e-8));
  CHECK(q(Quantity::drive_peak_to_contact) == Approx(contact - 2.2).margin(1e-7));
  CHECK(q(Quantity::both_feet_overlap) == Approx(2.39 - contact).margin(1e-8));

  // Braking: minus the integral of a sine from contact to 2.45, to its peak, to its zero at 2.5.
  const auto braking = [](double from, double to) {
    return weight * 0.4 / (2.0 * pi) *
           (std::cos(2.0 * pi * (from - 2.3) / 0.4) - std::cos(2.0 * pi * (to - 2.3) / 0.4));
  };
  CHECK(q(Quantity::braking_peak_force_bw) == Approx(1.0).epsilon(1e-9));
  CHECK(q(Quantity::braking_impulse) == Approx(braking(contact, 2.45)).epsilon(1e-8));
  CHECK(q(Quantity::braking_impulse_to_peak) == Approx(braking(contact, 2.4)).epsilon(1e-6));
  CHECK(q(Quantity::braking_impulse_whole) == Approx(braking(contact, 2.5)).epsilon(1e-8));
  CHECK(q(Quantity::braking_fraction_by_release) ==
        Approx(braking(contact, 2.45) / braking(contact, 2.5)).epsilon(1e-8));
  CHECK(q(Quantity::braking_timing) == Approx(-0.05).margin(1e-7));
  CHECK(q(Quantity::contact_to_release) == Approx(2.45 - contact).margin(1e-9));
  // The steepest 20 ms of a sine's first quarter are its first: slope of the least-squares line
  // over the window about its middle m is BW cos(w m) times 3 (sin u - u cos u) / u^3, u = w 10 ms,
  // times w.
  const double w = 2.0 * pi / 0.4;
  const double u = w * 0.010;
  const double smoothed = 3.0 * (std::sin(u) - u * std::cos(u)) / (u * u * u);
  CHECK(q(Quantity::braking_rate_greatest_bw) ==
        Approx(w * std::cos(w * (contact + 0.010 - 2.3)) * smoothed).epsilon(1e-6));
  const double at_contact = std::sin(w * (contact - 2.3));
  CHECK(q(Quantity::braking_rate_mean_bw) ==
        Approx((1.0 - at_contact) / (2.4 - contact)).epsilon(1e-6));
  CHECK(q(Quantity::vertical_peak_force_bw) == Approx(2.0).epsilon(1e-9));
  CHECK(q(Quantity::vertical_rate_mean_bw) ==
        Approx((2.0 - 0.05) / (2.45 - contact)).epsilon(1e-6));

  // Heel to toe: linear from 40 to 80 % over 2.0 to 2.4 s, 60 % at the peak, 50 % at 2.1 s.
  CHECK(q(Quantity::heel_toe_at_drive_peak) == Approx(60.0).margin(1e-5));
  // The vertical force is constant until 2.2 s, so the weighted mean over drive is the plain one.
  CHECK(q(Quantity::heel_toe_drive_mean) ==
        Approx(40.0 + 100.0 * (0.5 * (start + 2.2) - 2.0)).margin(1e-5));
  CHECK(q(Quantity::heel_drive_share) ==
        Approx(drive(start, 2.1) / drive(start, contact)).epsilon(1e-7));
  // Over load the position is 40 % until 2.0 s, then climbs by 100 % per s until drive start, with
  // the vertical force 0.9 BW rising to 1 BW over 1.32 to 1.4 s.
  const double climb = start - 2.0;
  const double whole = 0.95 * 0.08 + (start - 1.4);
  CHECK(q(Quantity::heel_toe_load_mean) ==
        Approx(40.0 + 100.0 * 0.5 * climb * climb / whole).margin(1e-5));
  CHECK(q(Quantity::heel_toe_travel) ==
        Approx(20.0 - 100.0 * 0.5 * climb * climb / whole).margin(1e-5));
  // +y is the heel's side of this right-hander, so the direction is negative: atan(-0.06 / 0.6).
  CHECK(q(Quantity::load_direction) == Approx(-std::atan(0.1)).epsilon(1e-6));
  CHECK(q(Quantity::load_tilt) == Approx(std::atan(std::hypot(0.6, 0.06))).epsilon(1e-6));

  // These forces have corners at 2.0, 2.3 and 2.4 s, which the model's own do not have: quadrature
  // across them is a little less sharp.
  CHECK(q(Quantity::momentum_at_contact) ==
        Approx(drive(2.0, contact) - braking(2.3, contact)).epsilon(1e-5));
  CHECK(q(Quantity::momentum_at_release) ==
        Approx(drive(2.0, 2.4) - braking(2.3, 2.45)).epsilon(1e-5));
  // Before the lead foot touches, the common centre is the back foot's own: only the free moment
  // turns. From touch (2.3 s) to contact (2.4 ms) the couple adds a little.
  CHECK(q(Quantity::turning_impulse_before_contact) == Approx(3.0 * (contact - start)).margin(0.2));
  CHECK(q(Quantity::balance_path_length) == Approx(0.28 * climb).epsilon(1e-6));
  CHECK(q(Quantity::balance_sway_area) == Approx(0.0).margin(1e-12));  // a straight line
  CHECK(q(Quantity::ball_speed) == 38.0);
}

TEST_CASE("the couple of two feet's horizontal forces is taken about their common centre") {
  // Both feet 400 N down, 1 m apart along x; +100 N and -100 N in y give a couple of 1 m x 100 N,
  // from whichever point it is taken: -100 N m here, through 2.0 to 2.5 s.
  Scene scene = by_hand();
  scene.back = [old = scene.back](double t) {
    FootLoad load = old(t);
    load.force.y() = 100.0;
    load.free_moment = 0.0;
    load.point = {0.0, 0.0};
    load.force.x() = 0.6 * weight * half_sine(t, 2.0, 0.4);
    return load;
  };
  scene.lead = [old = scene.lead](double t) {
    FootLoad load = old(t);
    load.force.y() = t > 2.3 ? -100.0 : 0.0;
    load.point = {1.0, 0.0};
    return load;
  };
  const Truth truth = find_truth(scene);
  // Feet on the x axis: x forces have no arm, y forces the whole. Until the back foot is unloaded
  // at 2.4 s both stand; then the common centre is the lead foot and the back foot's arm is 1 m.
  CHECK(truth[Quantity::turning_impulse_after_contact] ==
        Approx(-100.0 * (2.45 - truth[Event::lead_contact])).epsilon(1e-6));
}

TEST_CASE("sway area of a circle is that of its covariance") {
  Scene scene = by_hand();
  // One whole turn of a 5 mm circle over the time from loaded to drive start: variance r^2 / 2 on
  // each axis, so the area is pi 5.991 r^2 / 2; the path is its circumference.
  const Truth before = find_truth(scene);
  const double from = before[Event::back_leg_loaded];
  const double to = before[Event::drive_start];
  scene.back = [old = scene.back, from, to](double t) {
    FootLoad load = old(t);
    const double phase = 2.0 * pi * (t - from) / (to - from);
    load.point = {0.05 + 0.005 * std::cos(phase), 0.005 * std::sin(phase)};
    return load;
  };
  const Truth truth = find_truth(scene);
  CHECK(truth[Quantity::balance_sway_area] ==
        Approx(pi * 5.991 * 0.005 * 0.005 / 2.0).epsilon(1e-8));
  CHECK(truth[Quantity::balance_path_length] == Approx(2.0 * pi * 0.005).epsilon(1e-5));
  // Mean points: the circle's middle, whatever the weights' small change at its start.
  CHECK(truth[Quantity::stride_length] == Approx(1.40).margin(1e-3));
  CHECK(truth[Quantity::stride_length_height] == Approx(100.0 * 1.40 / 1.8).margin(0.06));
}

TEST_CASE("what a throw does not show is not a number") {
  Scene scene = by_hand();
  scene.lead = [](double) { return FootLoad{}; };
  const Truth truth = find_truth(scene);
  CHECK(std::isnan(truth[Event::lead_contact]));
  CHECK(std::isnan(truth[Quantity::braking_impulse]));
  CHECK(std::isnan(truth[Quantity::drive_impulse]));

  // Braking that never ends has no whole; the rest stands.
  Scene endless = by_hand();
  endless.lead = [old = endless.lead](double t) {
    FootLoad load = old(t);
    if (t > 2.4) load.force.x() = -weight;
    return load;
  };
  const Truth other = find_truth(endless);
  CHECK(std::isnan(other[Quantity::braking_impulse_whole]));
  CHECK(std::isnan(other[Quantity::braking_fraction_by_release]));
  CHECK(std::isfinite(other[Quantity::braking_impulse]));
}
