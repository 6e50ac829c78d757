// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/athlete.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "core/model/pitch_motion.h"

namespace moundwork::model {
namespace {

// Made of sounds, so that no real person is meant.
constexpr std::array<std::string_view, 16> given_names{
    "Aveln", "Borrim", "Cadeth", "Dovin",  "Elsko",  "Farrod", "Gwenar", "Hollim",
    "Isken", "Jorvat", "Kelmo",  "Lundar", "Mirrok", "Nevor",  "Orsten", "Pellan"};
constexpr std::array<std::string_view, 15> family_names{
    "Ashquill",  "Brindlefen", "Corvallan", "Dunmarrow",  "Eddlewick",
    "Fenhollow", "Garrowby",   "Hexleth",   "Inkersall",  "Jasperoon",
    "Kestrelow", "Lorrimond",  "Marlowick", "Nettlegate", "Overbrook-Dell"};

// Height and mass by age: a smooth passage from a child's to an adult's; from memory of growth
// charts, spread widened to reach the whole range asked of a lab (1.35 to 2.0 m, 30 to 110 kg).
void draw_body(ModelAthlete& athlete, Random& random) {
  athlete.age = random.chance(0.45) ? random.integer(10, 15) : random.integer(16, 28);
  const double grown = (athlete.age - 10.0) / 8.0;
  athlete.maturity = std::clamp(grown, 0.0, 1.0);
  const double middle_height = 1.44 + 0.40 * athlete.maturity;
  athlete.height = random.normal_within(middle_height, 0.06, 1.35, 2.0);
  const double body_mass_index =
      random.normal_within(18.5 + 7.0 * athlete.maturity, 1.8, 15.5, 31.0);
  athlete.mass = std::clamp(body_mass_index * athlete.height * athlete.height, 30.0, 110.0);
  athlete.foot_length = 0.152 * athlete.height;
}

PitchPlan draw_typical(const ModelAthlete& athlete, Random& random) {
  const double grown = athlete.maturity;
  PitchPlan plan;
  plan.set_share = random.normal_within(0.55, 0.02, 0.50, 0.60);
  plan.lift_start = random.normal_within(-1.70, 0.12, -2.0, -1.45);
  plan.transfer_duration = random.uniform(0.28, 0.40);
  plan.lift_accent = random.uniform(0.03, 0.08);
  plan.push = random.normal_within(0.20 + 0.12 * grown, 0.05, 0.05, 0.45);
  plan.drive_peak = random.normal_within(0.40 + 0.14 * grown, 0.07, 0.28, 0.74);
  plan.drive_peak_time = random.normal_within(-0.17, 0.025, -0.23, -0.115);
  plan.lean = random.uniform(0.04, 0.17);
  plan.drive_hump_share = random.uniform(0.5, 0.8);
  plan.unload_start = random.normal_within(-0.15, 0.02, -0.20, -0.10);
  plan.foot_off = random.normal_within(0.16, 0.035, 0.09, 0.24);
  plan.toe_drag = random.uniform(0.0, 0.06);
  plan.vertical_peak = random.normal_within(1.45 + 0.45 * grown, 0.22, 1.08, 2.4);
  plan.vertical_peak_time = random.normal_within(0.064, 0.009, 0.046, 0.084);
  plan.impact = random.uniform(0.35, 0.70);
  plan.rise_time = random.uniform(0.036, 0.048);
  plan.forward_drag = random.chance(0.6) ? random.uniform(0.04, 0.14) : 0.0;
  plan.braking_peak_time = random.normal_within(0.080, 0.010, 0.056, 0.104);
  plan.braking_end = random.uniform(0.42, 0.50);
  plan.landing_share = random.normal_within(0.36, 0.05, 0.24, 0.48);
  plan.lateral = random.normal(0.05, 0.04);
  plan.contact_to_release = random.normal_within(0.145, 0.008, 0.126, 0.164);
  plan.heel_toe_set = random.normal(47.0, 4.0);
  plan.heel_toe_load = random.normal_within(43.0, 6.0, 26.0, 56.0);
  plan.heel_toe_drive = random.normal_within(64.0, 6.0, 48.0, 78.0);
  plan.heel_toe_off = random.normal_within(87.0, 3.0, 80.0, 95.0);
  plan.sway = random.uniform(0.003, 0.007);
  plan.cop_forward = random.uniform(0.015, 0.035);
  plan.stride = athlete.height * random.normal_within(0.74 + 0.06 * grown, 0.03, 0.66, 0.90);
  plan.stride_aside = random.normal(0.04, 0.04);
  plan.back_twist = random.normal(5.0, 2.0) * athlete.mass / 80.0;
  plan.lead_twist = random.normal(9.0, 4.0) * athlete.mass / 80.0;
  plan.target_drop = random.uniform(0.05, 0.12);
  return plan;
}

// A typical plan drawn number by number may be one that no body can carry out. It is brought nearer
// to the middle until most of its pitches can be made.
void make_human(ModelAthlete& athlete, Random& random) {
  constexpr int rounds = 100;
  constexpr int trials = 8;
  constexpr int enough = 6;
  constexpr double nearer = 0.08;
  const FootPlace foot = place_back_foot(athlete, 0.0);
  const PitchPlan middle;
  PitchPlan& plan = athlete.typical;
  for (int round = 0; round < rounds; ++round) {
    int made = 0;
    for (int i = 0; i < trials; ++i)
      if (build_pitch(vary(plan, random), athlete, foot, 0.0, static_cast<std::uint64_t>(i)))
        ++made;
    if (made >= enough) return;
    for (const auto member :
         {&PitchPlan::drive_peak, &PitchPlan::push, &PitchPlan::vertical_peak,
          &PitchPlan::landing_share, &PitchPlan::lateral, &PitchPlan::toe_drag,
          &PitchPlan::forward_drag, &PitchPlan::drive_hump_share, &PitchPlan::impact,
          &PitchPlan::drive_peak_time, &PitchPlan::unload_start, &PitchPlan::foot_off,
          &PitchPlan::rise_time, &PitchPlan::vertical_peak_time, &PitchPlan::braking_peak_time,
          &PitchPlan::braking_end})
      plan.*member += nearer * (middle.*member - plan.*member);
  }
}

}  // namespace

ModelAthlete draw_athlete(Random& random, int number) {
  ModelAthlete athlete;
  athlete.id = fmt::format("athlete-{:02}", number);
  // Fifteen and sixteen share no factor, so the pairs first repeat after 240 athletes.
  const auto index = static_cast<std::size_t>(std::max(number - 1, 0));
  athlete.name = fmt::format("{} {}", given_names[index % given_names.size()],
                             family_names[index % family_names.size()]);
  athlete.hand = random.chance(0.25) ? session::Hand::left : session::Hand::right;
  draw_body(athlete, random);
  athlete.base_speed = 22.5 + 14.0 * athlete.maturity +
                       6.0 * (athlete.height - 1.44 - 0.40 * athlete.maturity) +
                       random.normal(0.0, 1.1);
  athlete.cue_response = random.chance(0.5) ? random.uniform(0.2, 0.6) : 0.0;
  athlete.typical = draw_typical(athlete, random);
  make_human(athlete, random);
  return athlete;
}

PitchPlan vary(const PitchPlan& typical, Random& random) {
  PitchPlan plan = typical;
  plan.set_share = std::clamp(typical.set_share + random.normal(0.0, 0.01), 0.50, 0.60);
  plan.quiet_duration = random.uniform(1.2, 2.2);
  plan.lift_start += random.normal(0.0, 0.04);
  plan.push += random.normal(0.0, 0.02);
  plan.drive_peak = std::clamp(typical.drive_peak + random.normal(0.0, 0.02), 0.26, 0.78);
  plan.drive_peak_time =
      std::clamp(typical.drive_peak_time + random.normal(0.0, 0.006), -0.24, -0.11);
  plan.drive_hump_share =
      std::clamp(typical.drive_hump_share + random.normal(0.0, 0.02), 0.45, 0.85);
  plan.unload_start += random.normal(0.0, 0.006);
  plan.foot_off = std::clamp(typical.foot_off + random.normal(0.0, 0.008), 0.08, 0.25);
  plan.vertical_peak = std::clamp(typical.vertical_peak + random.normal(0.0, 0.06), 1.05, 2.45);
  plan.vertical_peak_time =
      std::clamp(typical.vertical_peak_time + random.normal(0.0, 0.003), 0.045, 0.086);
  plan.impact *= random.uniform(0.9, 1.1);
  plan.forward_drag *= random.uniform(0.7, 1.3);
  plan.braking_peak_time =
      std::clamp(typical.braking_peak_time + random.normal(0.0, 0.004), 0.054, 0.106);
  plan.landing_share = std::clamp(typical.landing_share + random.normal(0.0, 0.02), 0.20, 0.52);
  plan.lateral += random.normal(0.0, 0.02);
  plan.contact_to_release =
      std::clamp(typical.contact_to_release + random.normal(0.0, 0.003), 0.122, 0.168);
  plan.heel_toe_set += random.normal(0.0, 2.0);
  plan.heel_toe_load += random.normal(0.0, 2.0);
  plan.heel_toe_drive += random.normal(0.0, 2.5);
  plan.heel_toe_off = std::min(typical.heel_toe_off + random.normal(0.0, 1.0), 97.0);
  plan.sway *= random.uniform(0.7, 1.3);
  plan.stride += random.normal(0.0, 0.02);
  plan.stride_aside += random.normal(0.0, 0.02);
  plan.back_twist *= random.uniform(0.8, 1.2);
  plan.lead_twist *= random.uniform(0.8, 1.2);
  // What the forces do not explain of one throw.
  plan.speed_offset = random.normal(0.0, 0.45);
  return plan;
}

}  // namespace moundwork::model
