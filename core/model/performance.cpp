// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/performance.h"

#include <algorithm>

#include "core/base/units.h"

namespace moundwork::model {
namespace {

// Free plates at the start, to tare on, and at the end; the set and stride before the first touch
// take less than `lead_in`.
constexpr double free_at_start = 2.0;
constexpr double lead_in = 5.0;
constexpr double free_at_end = 2.0;

double add_throw(const ModelAthlete& athlete, const Station& station, double touch, bool heel_cue,
                 Random& random, Performance& performance) {
  const double cue = heel_cue ? random.normal_within(10.0, 2.0, 4.0, 16.0) : 0.0;
  const DrawnPitch drawn = draw_pitch(athlete, station.truth.foot, touch, cue, random);
  Throw one;
  one.pitch = drawn.pitch;
  one.heel_cue = heel_cue;
  one.truth = find_truth(scene_of(one.pitch, 0.0));
  one.ball_speed = ball_speed(athlete, drawn.plan, one.truth, heel_cue);
  one.truth.quantities[static_cast<std::size_t>(definitions::Quantity::ball_speed)] =
      one.ball_speed;
  const double k = drag_per_metre(station.truth.air, station.truth.drag_coefficient);
  one.caught = one.pitch.release + time_to(one.ball_speed, k, station.truth.flight_distance);
  performance.contacts.push_back(one.pitch.back);
  performance.contacts.push_back(one.pitch.lead);
  performance.throws.push_back(one);
  return one.pitch.end;
}

// Of all the plates under a foot.
Eigen::Vector2d middle_of(const Station& station, session::PlateRole role) {
  Eigen::Vector2d sum = Eigen::Vector2d::Zero();
  int count = 0;
  for (const auto& plate : station.stated.plates) {
    if (plate.role != role) continue;
    sum += plate::plate_frame(plate.description)->centre.head<2>();
    ++count;
  }
  return sum / count;
}

}  // namespace

double ball_speed(const ModelAthlete& athlete, const PitchPlan& plan, const Truth& forces,
                  bool heel_cue) {
  // The slopes are the model's own invention, of the size that makes the correlations the
  // literature reports; the subtracted values are the middle of the model's athletes.
  const double braking = forces[definitions::Quantity::braking_impulse_per_mass] - 0.83;
  const double drive = forces[definitions::Quantity::drive_peak_force_bw] - 0.52;
  const double vertical = forces[definitions::Quantity::vertical_peak_force_bw] - 1.75;
  const double speed = athlete.base_speed + 4.0 * braking + 7.0 * drive + 1.5 * vertical +
                       plan.speed_offset + (heel_cue ? athlete.cue_response : 0.0);
  return std::clamp(speed, 18.0, 43.0);
}

Performance perform_session(const ModelAthlete& athlete, const Station& station,
                            const PerformanceSettings& settings, Random& random) {
  Performance performance;
  Walker walker;
  walker.weight = athlete.mass * standard_gravity;
  walker.foot_length = athlete.foot_length;
  walker.back_plate = middle_of(station, session::PlateRole::back);
  walker.lead_plate = middle_of(station, session::PlateRole::lead);

  const auto do_something = [&](double begin) {
    const auto activity = static_cast<Activity>(random.integer(0, activity_count - 1));
    const double end = perform(activity, begin, walker, random, performance.contacts);
    performance.doings.push_back({activity, begin, end});
    return end;
  };

  // With a duration asked for, each throw gets an equal slot and whatever is left of it is filled.
  const double slot = settings.duration > 0.0 && settings.pitches > 0
                          ? (settings.duration - free_at_end) / settings.pitches
                          : 0.0;
  // The longest activity, and the pause after it.
  constexpr double longest = 14.0;
  constexpr double after_throw = 3.0;
  double now = free_at_start;
  for (int i = 0; i < settings.pitches; ++i) {
    const bool cued =
        settings.heel_cue && 3 * i >= settings.pitches && 3 * i < 2 * settings.pitches;
    const double until = slot > 0.0 ? (i + 1) * slot - lead_in - after_throw : 0.0;
    if (settings.activities) {
      int least = random.integer(1, 2);
      while (least-- > 0 || now + longest < until) {
        if (slot > 0.0 && now + longest > until) break;
        now = do_something(now + random.uniform(1.0, 4.0));
      }
      now += random.uniform(1.5, 3.0);
    } else {
      now = std::max(now, until);
    }
    const double touch = now + lead_in;
    now = add_throw(athlete, station, touch, cued, random, performance) + 1.0;
    if (settings.activities) {
      // Back to the rubber after every throw.
      const double begin = now + random.uniform(0.5, 1.5);
      now = perform(Activity::walk_back, begin, walker, random, performance.contacts);
      performance.doings.push_back({Activity::walk_back, begin, now});
    }
  }
  performance.duration = std::max(settings.duration, now + free_at_end);
  std::stable_sort(performance.contacts.begin(), performance.contacts.end(),
                   [](const Contact& a, const Contact& b) { return a.begin < b.begin; });
  return performance;
}

}  // namespace moundwork::model
