// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/activities.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace moundwork;
using namespace moundwork::model;

namespace {

Walker some_walker() {
  Walker walker;
  walker.weight = 800.0;
  walker.foot_length = 0.27;
  walker.back_plate = {0.2, 0.0};
  walker.lead_plate = {1.4, 0.0};
  return walker;
}

}  // namespace

TEST_CASE("between throws feet push, never pull, and leave the plates as they found them") {
  for (int which = 0; which < activity_count; ++which) {
    const auto activity = static_cast<Activity>(which);
    INFO(name(activity));
    for (std::uint64_t seed = 0; seed < 10; ++seed) {
      Random random(seed, 0);
      std::vector<Contact> contacts;
      const double end = perform(activity, 10.0, some_walker(), random, contacts);
      REQUIRE(end > 10.0);
      REQUIRE_FALSE(contacts.empty());
      double most = 0.0;
      for (const Contact& contact : contacts) {
        REQUIRE(contact.surface != Surface::ground);
        REQUIRE(contact.begin >= 10.0);
        REQUIRE(contact.end <= end + 1e-9);
        for (double t = contact.begin; t < contact.end; t += 0.002) {
          const FootLoad load = contact.load(t);
          REQUIRE(load.force.z() > -1e-9);
          most = std::max(most, load.force.z());
          if (load.force.z() > 80.0) REQUIRE(load.force.head<2>().norm() < 0.8 * load.force.z());
        }
        REQUIRE(contact.load(contact.begin).force.norm() == 0.0);
        REQUIRE(contact.load(contact.end).force.norm() == 0.0);
      }
      // Something is done: at least half the weight comes onto a plate; three weights never do.
      CHECK(most > 0.4 * 800.0);
      CHECK(most < 3.0 * 800.0);
    }
  }
}

TEST_CASE("jogging on the spot carries the body's weight on average") {
  Random random(3, 0);
  std::vector<Contact> contacts;
  const double end = perform(Activity::jog, 0.0, some_walker(), random, contacts);
  double impulse = 0.0;
  constexpr double step = 1e-4;
  for (double t = 0.0; t < end; t += step)
    for (const Contact& contact : contacts) impulse += step * contact.load(t).force.z();
  // Newton: no net change of vertical momentum over whole steps.
  CHECK(impulse / end == Approx(800.0).epsilon(1e-3));
}

TEST_CASE("walking goes over both plates in its direction") {
  Random random(5, 0);
  std::vector<Contact> contacts;
  perform(Activity::walk_home, 0.0, some_walker(), random, contacts);
  REQUIRE(contacts.size() == 2);
  CHECK(contacts[0].surface == Surface::back_plate);
  CHECK(contacts[1].surface == Surface::lead_plate);
  contacts.clear();
  perform(Activity::walk_back, 0.0, some_walker(), random, contacts);
  CHECK(contacts[0].surface == Surface::lead_plate);
  // The foot rolls toward where it goes.
  const Contact& step = contacts[0];
  const double stance = step.end - step.begin;
  CHECK(step.load(step.begin + 0.9 * stance).point.x() <
        step.load(step.begin + 0.1 * stance).point.x());
}
