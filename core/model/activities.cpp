// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/activities.h"

#include <numbers>

namespace moundwork::model {
namespace {

struct Place {
  Surface surface;
  Eigen::Vector2d point;
};

Place place_on(Surface surface, const Walker& walker, Random& random) {
  const Eigen::Vector2d centre =
      surface == Surface::back_plate ? walker.back_plate : walker.lead_plate;
  return {surface,
          centre + Eigen::Vector2d(random.uniform(-0.06, 0.06), random.uniform(-0.10, 0.10))};
}

// What is under one foot that points along x, one along the rubber, and two side by side; the
// breadth is 0.36 of the length (Drillis and Contini 1966).
Eigen::Vector2d pointing_home(const Walker& walker) {
  return {walker.foot_length, 0.36 * walker.foot_length};
}
Eigen::Vector2d along_rubber(const Walker& walker) {
  return {0.36 * walker.foot_length, walker.foot_length};
}
Eigen::Vector2d two_feet(const Walker& walker) { return {walker.foot_length, 0.35}; }

Surface either_plate(Random& random) {
  return random.chance(0.5) ? Surface::back_plate : Surface::lead_plate;
}

// One step of walking: two humps of vertical force, braking then pushing; from memory of gait texts
// (peaks near 1.1 body weights, fore-aft near 0.2). `heading` is +1 toward home.
void add_step(double begin, double stance, double heading, const Place& place, const Walker& walker,
              Random& random, std::vector<Contact>& contacts) {
  const double w = walker.weight;
  const double end = begin + stance;
  Contact step;
  step.surface = place.surface;
  step.size = pointing_home(walker);
  step.begin = begin;
  step.end = end;
  step.force[2].add(Term::hump(random.uniform(0.90, 1.05) * w, begin, begin + 0.26 * stance,
                               begin + 0.80 * stance));
  step.force[2].add(Term::hump(random.uniform(0.90, 1.05) * w, begin + 0.20 * stance,
                               begin + 0.74 * stance, end));
  step.force[0].add(Term::hump(-heading * random.uniform(0.14, 0.20) * w, begin + 0.02 * stance,
                               begin + 0.20 * stance, begin + 0.60 * stance));
  step.force[0].add(Term::hump(heading * random.uniform(0.15, 0.21) * w, begin + 0.42 * stance,
                               begin + 0.82 * stance, end));
  step.force[1].add(Term::hump(random.uniform(-0.05, 0.05) * w, begin, begin + 0.4 * stance, end));
  step.point[0] = Waveform(place.point.x() - 0.4 * heading * walker.foot_length);
  step.point[0].add(Term::step(0.75 * heading * walker.foot_length,
                               {begin + 0.05 * stance, begin + 0.95 * stance}));
  step.point[1] = Waveform(place.point.y());
  step.free_moment.add(
      Term::hump(random.uniform(-0.004, 0.004) * w, begin, begin + 0.6 * stance, end));
  contacts.push_back(step);
}

// Standing on a plate: `share` of the weight from `begin` to `end`, both taken in `shift` s.
Contact standing(double begin, double end, double shift, double share, const Place& place,
                 const Eigen::Vector2d& size, const Walker& walker, Random& random) {
  Contact stand;
  stand.size = size;
  stand.surface = place.surface;
  stand.begin = begin;
  stand.end = end;
  const Ramp on{begin, begin + shift};
  const Ramp off{end - shift, end};
  stand.force[2].add(Term::step(share * walker.weight, on).until(off));
  for (std::size_t axis = 0; axis < 2; ++axis) {
    stand.point[axis] = Waveform(place.point[static_cast<Eigen::Index>(axis)]);
    stand.force[axis].add(Term::tone(0.004 * walker.weight, random.uniform(0.3, 1.5),
                                     random.uniform(0.0, 2.0 * std::numbers::pi))
                              .from(on)
                              .until(off));
    stand.point[axis].add(
        Term::tone(0.006, random.uniform(0.2, 0.8), random.uniform(0.0, 2.0 * std::numbers::pi)));
  }
  return stand;
}

double walk(double begin, bool home, const Walker& walker, Random& random,
            std::vector<Contact>& contacts) {
  const double stance = random.uniform(0.60, 0.75);
  // The plates are one and a half steps apart: the feet between them fall on the ground.
  const double between = stance * random.uniform(0.85, 1.05);
  const double heading = home ? 1.0 : -1.0;
  const Surface order[] = {home ? Surface::back_plate : Surface::lead_plate,
                           home ? Surface::lead_plate : Surface::back_plate};
  add_step(begin, stance, heading, place_on(order[0], walker, random), walker, random, contacts);
  add_step(begin + between, stance, heading, place_on(order[1], walker, random), walker, random,
           contacts);
  return begin + between + stance;
}

double crouch(double begin, const Walker& walker, Random& random, std::vector<Contact>& contacts) {
  const double end = begin + random.uniform(4.0, 6.0);
  Contact stand = standing(begin, end, 0.6, 1.0, place_on(either_plate(random), walker, random),
                           two_feet(walker), walker, random);
  const double down = begin + 1.2;
  const double w = walker.weight;
  stand.force[2].add(Term::hump(-0.28 * w, down, down + 0.25, down + 0.55));
  stand.force[2].add(Term::hump(0.30 * w, down + 0.3, down + 0.6, down + 0.95));
  stand.force[2].add(Term::hump(0.28 * w, down + 1.2, down + 1.5, down + 1.85));
  stand.force[2].add(Term::hump(-0.30 * w, down + 1.55, down + 1.85, down + 2.2));
  contacts.push_back(stand);
  return end;
}

double swing(double begin, const Walker& walker, Random& random, std::vector<Contact>& contacts) {
  const double end = begin + random.uniform(6.0, 10.0);
  Contact stand = standing(begin, end, 0.5, 1.0, place_on(either_plate(random), walker, random),
                           pointing_home(walker), walker, random);
  const double rate = random.uniform(0.8, 1.2);
  const double phase = random.uniform(0.0, 2.0 * std::numbers::pi);
  const Ramp going{begin + 0.8, begin + 1.6};
  const Ramp stopping{end - 1.6, end - 0.8};
  const double w = walker.weight;
  stand.force[0].add(Term::tone(0.09 * w, rate, phase).from(going).until(stopping));
  stand.force[1].add(Term::tone(0.03 * w, rate, phase + 1.0).from(going).until(stopping));
  // A swinging limb is lightest at its ends and heaviest twice a cycle, in the middle.
  stand.force[2].add(Term::tone(0.10 * w, 2.0 * rate, 2.0 * phase).from(going).until(stopping));
  stand.free_moment.add(Term::tone(0.008 * w, rate, phase).from(going).until(stopping));
  contacts.push_back(stand);
  return end;
}

double jog(double begin, const Walker& walker, Random& random, std::vector<Contact>& contacts) {
  const Place place = place_on(either_plate(random), walker, random);
  const double period = random.uniform(0.36, 0.42);
  const double down = 0.80 * period;
  const int steps = random.integer(12, 24);
  // Over one period the mean vertical force is body weight: the hump x^3 (1 - x)^3, scaled to a
  // peak of one, holds 64/140 of its width.
  const double peak = walker.weight * period / down * 140.0 / 64.0;
  for (int i = 0; i < steps; ++i) {
    Contact step;
    step.surface = place.surface;
    step.size = pointing_home(walker);
    step.begin = begin + i * period;
    step.end = step.begin + down;
    step.force[2].add(Term::hump(peak, step.begin, step.begin + 0.5 * down, step.end));
    step.force[0].add(Term::hump(random.uniform(-0.05, 0.05) * walker.weight, step.begin,
                                 step.begin + 0.5 * down, step.end));
    step.point[0] = Waveform(place.point.x());
    step.point[1] = Waveform(place.point.y() + (i % 2 == 0 ? 0.09 : -0.09));
    contacts.push_back(step);
  }
  return begin + steps * period;
}

double set_and_leave(double begin, bool lift_knee, const Walker& walker, Random& random,
                     std::vector<Contact>& contacts) {
  const double share = random.uniform(0.50, 0.60);
  const double end = begin + (lift_knee ? random.uniform(7.0, 9.0) : random.uniform(3.0, 5.0));
  Contact stand = standing(begin, end, 0.5, share, place_on(Surface::back_plate, walker, random),
                           along_rubber(walker), walker, random);
  if (lift_knee)
    stand.force[2].add(Term::step((1.0 - share) * walker.weight, {begin + 2.0, begin + 2.5})
                           .until({end - 2.5, end - 1.9}));
  contacts.push_back(stand);
  return end;
}

}  // namespace

std::string name(Activity activity) {
  switch (activity) {
    case Activity::walk_home:
      return "walk_home";
    case Activity::walk_back:
      return "walk_back";
    case Activity::step_on_and_off:
      return "step_on_and_off";
    case Activity::stand:
      return "stand";
    case Activity::pick_up_ball:
      return "pick_up_ball";
    case Activity::swings:
      return "swings";
    case Activity::jog:
      return "jog";
    case Activity::set_and_step_off:
      return "set_and_step_off";
    case Activity::balance_drill:
      return "balance_drill";
  }
  return {};
}

double perform(Activity activity, double begin, const Walker& walker, Random& random,
               std::vector<Contact>& contacts) {
  switch (activity) {
    case Activity::walk_home:
      return walk(begin, true, walker, random, contacts);
    case Activity::walk_back:
      return walk(begin, false, walker, random, contacts);
    case Activity::step_on_and_off: {
      const double stance = random.uniform(0.6, 1.2);
      add_step(begin, stance, random.chance(0.5) ? 1.0 : -1.0,
               place_on(either_plate(random), walker, random), walker, random, contacts);
      return begin + stance;
    }
    case Activity::stand: {
      const double end = begin + random.uniform(4.0, 12.0);
      contacts.push_back(standing(begin, end, 0.8, 1.0,
                                  place_on(either_plate(random), walker, random), two_feet(walker),
                                  walker, random));
      return end;
    }
    case Activity::pick_up_ball:
      return crouch(begin, walker, random, contacts);
    case Activity::swings:
      return swing(begin, walker, random, contacts);
    case Activity::jog:
      return jog(begin, walker, random, contacts);
    case Activity::set_and_step_off:
      return set_and_leave(begin, false, walker, random, contacts);
    case Activity::balance_drill:
      return set_and_leave(begin, true, walker, random, contacts);
  }
  return begin;
}

}  // namespace moundwork::model
