// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/pitch_motion.h"

#include <Eigen/LU>
#include <algorithm>
#include <boost/math/quadrature/gauss.hpp>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "core/base/units.h"

namespace moundwork::model {
namespace {

// Panels short against the shortest shape (the strike's rise), so ten nodes leave nothing visible.
constexpr double motion_panel = 0.008;

template <class Function>
double integrate(const Function& function, double from, double to) {
  const int panels = std::max(1, static_cast<int>(std::ceil((to - from) / motion_panel)));
  const double width = (to - from) / panels;
  double sum = 0.0;
  for (int i = 0; i < panels; ++i)
    sum += boost::math::quadrature::gauss<double, 10>::integrate(function, from + i * width,
                                                                 from + (i + 1) * width);
  return sum;
}

// Velocity and displacement that an acceleration from rest has led to at `to`.
struct Moments {
  double velocity = 0.0;
  double displacement = 0.0;
};

template <class Function>
Moments moments(const Function& function, double from, double to) {
  return {integrate(function, from, to),
          integrate([&](double t) { return (to - t) * function(t); }, from, to)};
}

// m; 0.055 of height (Drillis and Contini 1966).
double shoe_breadth(const ModelAthlete& athlete) { return 0.055 * athlete.height; }

// The times of one pitch, s on the session clock.
struct Times {
  double begin, on, quiet, lift, touch, off, land, standing, leave, end;
};

Times times_of(const PitchPlan& plan, double touch) {
  Times t{};
  constexpr double step_on = 0.5;
  t.touch = touch;
  t.lift = touch + plan.lift_start;
  t.on = t.lift - plan.quiet_duration - step_on;
  t.begin = t.on - 0.1;
  t.quiet = t.lift - 0.5 * plan.quiet_duration;
  t.off = touch + plan.foot_off;
  t.land = touch + 0.42;
  t.standing = touch + 1.6;
  t.leave = touch + 2.0;
  t.end = t.leave + 0.5;
  return t;
}

// Small muscle tremor in a force or sway of a point: three tones whose periods share no multiple.
void add_tones(Waveform& wave, double amplitude, double lowest, double highest, Ramp rise,
               Ramp fall, Random& random) {
  constexpr int tones = 3;
  for (int i = 0; i < tones; ++i) {
    const double low = lowest + (highest - lowest) * i / tones;
    const double high = lowest + (highest - lowest) * (i + 1) / tones;
    wave.add(Term::tone(amplitude * random.uniform(0.4, 1.0), random.uniform(low, high),
                        random.uniform(0.0, 2.0 * std::numbers::pi))
                 .from(rise)
                 .until(fall));
  }
}

// Forces in body weights, y as a right-hander's, built up term by term.
struct Shapes {
  std::array<Waveform, 3> back, lead, landing;
  Waveform set_vertical;
};

double greatest(const Waveform& wave, double from, double to) {
  double most = wave(from);
  for (double t = from; t <= to; t += 1e-3) most = std::max(most, wave(t));
  return most;
}

// Strike, main support and a slower hold, of the plan's proportions, scaled together so that with
// the growing support they reach the plan's peak.
Waveform landing_humps(const PitchPlan& p, double touch, Ramp support) {
  Waveform humps;
  // The growing support beneath puts the whole's peak later than the hump's own.
  humps.add(Term::hump(1.0, touch, touch + 0.85 * p.vertical_peak_time, touch + 0.34));
  humps.add(Term::hump(0.30, touch, touch + 0.14, touch + 0.50));
  humps.add(Term::hump(p.impact, touch, touch + 0.75 * p.rise_time, touch + 2.6 * p.rise_time));
  // The support's own height at the peak is not known beforehand: a few rounds settle it.
  double scale = 1.0;
  for (int round = 0; round < 12; ++round) {
    Waveform together;
    together.add(humps, scale).add(Term::step(1.0, support));
    scale *= std::max(0.2, 1.0 + (p.vertical_peak - greatest(together, touch, touch + 0.13)) /
                                     greatest(humps, touch, touch + 0.13) / scale);
  }
  return humps.scaled(scale);
}

Shapes fixed_shapes(const PitchPlan& p, const Times& t, Random& random) {
  Shapes s;
  const Ramp on{t.on, t.on + 0.45};
  const Ramp transfer{t.lift, t.lift + p.transfer_duration};
  const Ramp unload{t.touch + p.unload_start, t.off};
  const double quarter = p.set_share;

  s.back[2].add(Term::step(quarter, on).until(unload));
  s.back[2].add(Term::step(1.0 - quarter, transfer).until(unload));
  const double knee = t.lift + 0.5 * p.transfer_duration;
  s.back[2].add(Term::hump(p.lift_accent, knee, knee + 0.18, knee + 0.40));
  s.back[2].add(Term::hump(-0.9 * p.lift_accent, knee + 0.25, knee + 0.46, knee + 0.70));
  s.back[2].add(Term::hump(p.push, t.touch - 0.50, t.touch - 0.19, t.touch + 0.06).until(unload));
  // The set foot carries the rest of the weight until it leaves the ground.
  s.set_vertical = Waveform(1.0);
  s.set_vertical.add(Term::step(-quarter, on)).add(Term::step(-(1.0 - quarter), transfer));

  const Ramp alone{t.lift + 0.1, t.lift + 0.5};
  add_tones(s.back[2], 0.004, 1.2, 7.0, on, unload, random);
  add_tones(s.back[1], 0.0025, 0.4, 3.0, alone, unload, random);
  add_tones(s.back[0], 0.0012, 0.4, 2.0, alone, {t.touch - 0.9, t.touch - 0.6}, random);

  // Drive: a slow lean, then the push; both start from nothing on one leg.
  s.back[0].add(Term::step(p.lean * p.drive_peak, {t.touch - 1.15, t.touch - 0.55}).until(unload));
  const double peak = t.touch + p.drive_peak_time;
  const double pushed = p.drive_peak * (1.0 - p.lean);
  s.back[0].add(Term::hump(pushed * p.drive_hump_share, t.touch - 0.52, peak, t.off - 0.01));
  s.back[0].add(
      Term::hump(pushed * (1.0 - p.drive_hump_share), t.touch - 1.15, peak + 0.01, t.off - 0.01));
  s.back[0].add(Term::hump(-p.toe_drag, t.touch - 0.02, t.off - 0.035, t.off));
  s.back[1].add(Term::hump(-0.5 * p.lateral, t.touch - 0.50, t.touch - 0.24, t.touch - 0.02));
  s.back[1].add(Term::hump(-0.8 * p.lateral - 0.04, t.touch - 0.15, t.touch + 0.01, t.off));

  // Landing: strike, main support, then weight shared with the other foot.
  constexpr double kept_share = 0.55;
  const Ramp support{t.touch, t.touch + 0.11};
  s.lead[2].add(Term::step(1.0, support).until({t.leave, t.end}));
  s.lead[2].add(Term::step(kept_share - 1.0, {t.land, t.land + 0.30}).until({t.leave, t.end}));
  s.lead[2].add(landing_humps(p, t.touch, support), 1.0);
  s.lead[0].add(Term::hump(p.forward_drag, t.touch + 0.002, t.touch + 0.014, t.touch + 0.032));
  s.lead[0].add(Term::hump(0.07, t.touch + 0.30, t.touch + 0.58, t.touch + 1.0));
  s.lead[1].add(Term::hump(1.6 * p.lateral, t.touch + 0.004, t.touch + 0.05, t.touch + 0.16));
  s.lead[1].add(Term::hump(-1.2 * p.lateral, t.touch + 0.06, t.touch + 0.20, t.touch + 0.45));
  add_tones(s.lead[2], 0.004, 1.2, 6.0, {t.touch + 0.5, t.touch + 0.9}, {t.leave, t.end}, random);

  s.landing[2].add(Term::step(1.0 - kept_share, {t.land, t.land + 0.26}));
  // As the lead foot leaves its plate the other takes over.
  s.landing[2].add(Term::step(kept_share, {t.leave, t.end}));
  return s;
}

double vertical_excess(const Shapes& s, double t) {
  return standard_gravity *
         (s.back[2](t) + s.lead[2](t) + s.set_vertical(t) + s.landing[2](t) - 1.0);
}

double along(const Shapes& s, std::size_t axis, double t) {
  return standard_gravity * (s.back[axis](t) + s.lead[axis](t) + s.landing[axis](t));
}

struct Bounds {
  double low, high;
  [[nodiscard]] bool hold(double x) const { return x >= low && x <= high; }
};

// What a person shows, from memory and the ranges of the literature table: the depth of the fall
// and the support after release in body weights, speeds in m/s.
constexpr Bounds fall_depth{0.02, 0.56};
constexpr Bounds braking_amplitude{0.50, 1.50};
constexpr Bounds late_support{-0.60, 0.90};

bool solve_vertical(Shapes& s, const PitchPlan& p, const Times& t) {
  // Speed that the landing gives back within its first 0.3 s. The body falls at less than that: the
  // front knee straightens, and the body rises a little before it settles.
  const double arrested =
      integrate([&](double x) { return vertical_excess(s, x); }, t.touch, t.touch + 0.30);
  const double falling = -std::clamp(0.45 * arrested, 0.25, 0.80);
  const Term fall = Term::hump(-1.0, t.touch - 0.80, t.touch - 0.44, t.touch - 0.10);
  const double before =
      integrate([&](double x) { return vertical_excess(s, x); }, t.begin, t.touch);
  const double unit = standard_gravity * integrate(fall, t.touch - 0.80, t.touch - 0.10);
  const double depth = (falling - before) / unit;
  if (!fall_depth.hold(depth)) return false;
  s.back[2].add(fall.scaled(depth));

  // Two humps of support after release bring both the speed and the height to rest.
  const Term first = Term::hump(1.0, t.touch + 0.20, t.touch + 0.42, t.touch + 0.85);
  const Term second = Term::hump(1.0, t.touch + 0.50, t.touch + 0.95, t.standing);
  const auto now = moments([&](double x) { return vertical_excess(s, x); }, t.begin, t.standing);
  const auto one = moments(first, t.begin, t.standing);
  const auto two = moments(second, t.begin, t.standing);
  // The ground is lower where the feet end up, by the mound's fall of 1 in 12 under the lead foot
  // and about as much again ahead of it.
  const double rest = -(p.target_drop + p.stride / 12.0);
  Eigen::Matrix2d unknowns;
  unknowns << one.velocity, two.velocity, one.displacement, two.displacement;
  const Eigen::Vector2d wanted(-now.velocity, rest - now.displacement);
  const Eigen::Vector2d amplitude = unknowns.inverse() * wanted / standard_gravity;
  if (!late_support.hold(amplitude[0]) || !late_support.hold(amplitude[1])) return false;
  s.lead[2].add(first.scaled(amplitude[0]));
  // Both feet are down by then, and share it.
  s.lead[2].add(second.scaled(0.5 * amplitude[1]));
  s.landing[2].add(second.scaled(0.5 * amplitude[1]));
  return true;
}

bool solve_along(Shapes& s, const PitchPlan& p, const Times& t) {
  const double at_touch = integrate([&](double x) { return along(s, 0, x); }, t.begin, t.touch);
  const double braking_over = t.touch + p.braking_end;
  const double unbraked =
      at_touch + integrate([&](double x) { return along(s, 0, x); }, t.touch, braking_over);
  // A quick push against the planted leg, and a slower one as the trunk comes over it.
  constexpr double quick = 0.65;
  Waveform braking;
  braking.add(
      Term::hump(-quick, t.touch + 0.010, t.touch + p.braking_peak_time, braking_over - 0.04));
  braking.add(
      Term::hump(quick - 1.0, t.touch + 0.01, t.touch + p.braking_peak_time + 0.07, braking_over));
  const double unit = -standard_gravity * integrate(braking, t.touch, braking_over);
  const double amplitude = (unbraked - p.landing_share * at_touch) / unit;
  if (!braking_amplitude.hold(amplitude)) return false;
  s.lead[0].add(braking, amplitude);

  for (const std::size_t axis : {std::size_t{0}, std::size_t{1}}) {
    const double left = integrate([&](double x) { return along(s, axis, x); }, t.begin, t.standing);
    const Term stop = Term::hump(1.0, t.land + 0.03, t.land + 0.32, t.standing - 0.1);
    const double stop_unit = standard_gravity * integrate(stop, t.land, t.standing);
    s.landing[axis].add(stop.scaled(-left / stop_unit));
  }
  return true;
}

// Every foot pushes, none pulls; the sole does not slide: within what cleats hold once a tenth of
// body weight is on the foot; and the body neither drops nor rises like a jumper's. Common sense.
bool is_human(const Shapes& s, const Times& t, double height) {
  constexpr double grip = 1.2;
  constexpr double step = 0.002;
  constexpr Bounds climbing{-1.5, 1.3};  // m/s
  const Bounds level{-0.31 * height, 0.10};
  constexpr Bounds peak_time{0.038, 0.098};  // s after the first touch
  const auto pushes = [&](const std::array<Waveform, 3>& foot, double x) {
    const double vertical = foot[2](x);
    if (vertical < -1e-9) return false;
    if (vertical < 0.10) return true;
    return std::hypot(foot[0](x), foot[1](x)) <= grip * vertical;
  };
  const double most =
      greatest(s.lead[2], t.touch + peak_time.low, t.touch + peak_time.high) * (1.0 + 1e-9);
  if (greatest(s.lead[2], t.touch, t.touch + 0.40) > most) return false;
  double speed = 0.0;
  double rise = 0.0;
  for (double x = t.begin; x < t.standing; x += step) {
    if (!pushes(s.back, x) || !pushes(s.lead, x) || !pushes(s.landing, x)) return false;
    speed += step * vertical_excess(s, x);
    rise += step * speed;
    if (!climbing.hold(speed) || !level.hold(rise)) return false;
  }
  return true;
}

std::array<Waveform, 3> in_newtons(const std::array<Waveform, 3>& shape, double weight,
                                   double side) {
  return {shape[0].scaled(weight), shape[1].scaled(weight * side), shape[2].scaled(weight)};
}

// Where the centre of pressure is, in percent along the foot and in m across it (toward home).
void place_back_pressure(Pitch& pitch, const PitchPlan& p, const Times& t, Random& random) {
  const Eigen::Vector2d line = pitch.foot.toe - pitch.foot.heel;
  const Ramp transfer{t.lift, t.lift + p.transfer_duration};
  const Ramp driving{t.touch - 0.44, t.touch + p.drive_peak_time + 0.05};
  const Ramp leaving{t.touch + p.drive_peak_time, t.off};
  const Ramp alone{t.lift + 0.05, t.lift + 0.45};
  const Ramp committed{t.touch - 0.6, t.touch - 0.25};

  Waveform along_foot(p.heel_toe_set / 100.0);
  along_foot.add(Term::step((p.heel_toe_load - p.heel_toe_set) / 100.0, transfer));
  along_foot.add(Term::step((p.heel_toe_drive - p.heel_toe_load) / 100.0, driving));
  along_foot.add(Term::step((p.heel_toe_off - p.heel_toe_drive) / 100.0, leaving));
  add_tones(along_foot, p.sway / line.norm(), 0.3, 2.4, alone, committed, random);
  Waveform across;
  across.add(Term::step(p.cop_forward, driving));
  add_tones(across, 0.6 * p.sway, 0.3, 2.4, alone, committed, random);

  // Lab point = heel + along (toe - heel) + across x (unit toward home).
  for (const Eigen::Index axis : {0, 1}) {
    Waveform& wave = pitch.back.point[static_cast<std::size_t>(axis)];
    wave = Waveform(pitch.foot.heel[axis]);
    wave.add(along_foot, line[axis]);
    if (axis == 0) wave.add(across, 1.0);
  }
  pitch.back.free_moment.add(Term::hump(p.back_twist, t.touch - 0.50, t.touch - 0.15, t.off));
}

void place_lead_pressure(Pitch& pitch, const PitchPlan& p, const ModelAthlete& athlete,
                         const Times& t) {
  // From the heel or middle at the strike to the ball of the foot.
  const double foot = athlete.foot_length;
  pitch.lead.point[0] = Waveform(p.stride - 0.25 * foot);
  pitch.lead.point[0].add(Term::step(0.42 * foot, {t.touch + 0.01, t.touch + 0.22}));
  pitch.lead.point[0].add(Term::step(-0.15 * foot, {t.touch + 0.5, t.touch + 1.1}));
  pitch.lead.point[1] = Waveform(-p.stride_aside);
  pitch.lead.point[1].add(Term::step(0.03, {t.touch + 0.02, t.touch + 0.18}));
  pitch.lead.free_moment.add(
      Term::hump(p.lead_twist, t.touch + 0.01, t.touch + 0.09, t.touch + 0.45));
}

}  // namespace

FootPlace place_back_foot(const ModelAthlete& athlete, double turn) {
  // Half the breadth of a shoe in front of the rubber.
  const double ahead = 0.5 * shoe_breadth(athlete) + 0.008;
  const double side = athlete.hand == session::Hand::right ? -1.0 : 1.0;
  const Eigen::Vector2d middle(ahead + 0.5 * athlete.foot_length * std::abs(std::sin(turn)), 0.0);
  const Eigen::Vector2d along_foot(std::sin(turn), side * std::cos(turn));
  return {middle - 0.5 * athlete.foot_length * along_foot,
          middle + 0.5 * athlete.foot_length * along_foot};
}

std::optional<Pitch> build_pitch(const PitchPlan& plan, const ModelAthlete& athlete,
                                 const FootPlace& foot, double touch, std::uint64_t seed) {
  Random random(seed, 0);
  const Times t = times_of(plan, touch);
  Shapes shapes = fixed_shapes(plan, t, random);
  if (!solve_vertical(shapes, plan, t) || !solve_along(shapes, plan, t) ||
      !is_human(shapes, t, athlete.height))
    return std::nullopt;

  Pitch pitch;
  pitch.mass = athlete.mass;
  pitch.height = athlete.height;
  pitch.foot = foot;
  pitch.begin = t.begin;
  pitch.quiet = t.quiet;
  pitch.lift = t.lift;
  pitch.touch = t.touch;
  pitch.release = t.touch + plan.contact_to_release;
  pitch.standing = t.standing;
  pitch.end = t.end;

  const double weight = athlete.mass * standard_gravity;
  const double side = athlete.hand == session::Hand::right ? 1.0 : -1.0;
  // The back foot lies along the rubber, the lead foot points home.
  const double length = athlete.foot_length;
  const double breadth = shoe_breadth(athlete);
  pitch.back = {Surface::back_plate, t.on, t.off, in_newtons(shapes.back, weight, side), {}, {},
                {breadth, length}};
  pitch.lead = {Surface::lead_plate, t.touch, t.end, in_newtons(shapes.lead, weight, side), {}, {},
                {length, breadth}};
  pitch.landing = {
      Surface::ground,  t.land, never, in_newtons(shapes.landing, weight, side), {}, {},
      {length, breadth}};
  pitch.set.surface = Surface::ground;
  pitch.set.begin = -never;
  pitch.set.end = t.lift + plan.transfer_duration;
  pitch.set.force[2] = shapes.set_vertical.scaled(weight);
  place_back_pressure(pitch, plan, t, random);
  place_lead_pressure(pitch, plan, athlete, t);
  // The foot's own line already carries the back foot's hand; the lead foot's does not.
  pitch.lead.point[1] = pitch.lead.point[1].scaled(side);
  pitch.back.free_moment = pitch.back.free_moment.scaled(side);
  pitch.lead.free_moment = pitch.lead.free_moment.scaled(side);
  pitch.set.point = {Waveform(0.35), Waveform(0.0)};
  pitch.landing.point = {Waveform(plan.stride + 0.15), Waveform(side * 0.35)};
  return pitch;
}

DrawnPitch draw_pitch(const ModelAthlete& athlete, const FootPlace& foot, double touch,
                      double heel_cue, Random& random) {
  constexpr int tries = 1000;
  for (int i = 0; i < tries; ++i) {
    PitchPlan plan = vary(athlete.typical, random);
    plan.heel_toe_load -= heel_cue;
    plan.heel_toe_drive -= heel_cue;
    const auto seed = static_cast<std::uint64_t>(random.integer(0, 1 << 30));
    if (auto pitch = build_pitch(plan, athlete, foot, touch, seed)) return {plan, *pitch};
  }
  throw std::logic_error("an athlete of the model cannot make the pitch typical of him");
}

}  // namespace moundwork::model
