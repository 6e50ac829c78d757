// SPDX-License-Identifier: GPL-3.0-or-later
// The catalogue says from whose plate a quantity is read; gaps go by that.
#include <catch2/catch.hpp>
#include <cmath>

#include "core/definitions/catalogue.h"
#include "core/model/day.h"
#include "core/pitch/quantities.h"
#include "core/pitch/session_throws.h"
#include "core/session/reader.h"
#include "support/folder.h"

using namespace moundwork;
using definitions::Foot;

namespace {

// Another foot's trace, in nothing the same but for when it was sampled.
void alter(foot::FootForces& foot) {
  // Of more share as time goes, so that a ratio of two impulses changes too.
  const Eigen::ArrayXd more = Eigen::ArrayXd::LinSpaced(foot.x.size(), 1.0, 1.5);
  foot.x *= more;
  foot.raw_x *= more;
  foot.y *= 1.3;
  foot.z *= 1.2;
  foot.raw_z *= 1.2;
  foot.contact_z *= 1.2;
  foot.cop_x *= 1.05;
  foot.cop_y *= 1.1;
  foot.free_moment *= 1.4;
}

}  // namespace

TEST_CASE("a quantity changes with the feet that the catalogue names, and with no other") {
  const support::Folder folder;
  model::SessionSettings settings;
  settings.seed = 5;
  settings.performance.pitches = 1;
  settings.performance.activities = false;
  settings.compression = 0;
  REQUIRE(model::simulate_session(folder / "a.h5", settings));
  const auto reader = session::Reader::open(folder / "a.h5").value();
  const auto throws = pitch::SessionThrows::find(reader, {}).value();
  REQUIRE(throws.contacts().size() == 1);
  const auto thrown = throws.take(0).value();
  const definitions::EventTimes events = thrown.events();
  const auto as_recorded = pitch::compute_quantities(thrown.data(), events, {});

  for (const Foot altered : {Foot::back, Foot::lead}) {
    pitch::ThrowData data = thrown.data();
    alter(altered == Foot::back ? data.back : data.lead);
    const auto now = pitch::compute_quantities(data, events, {});
    for (std::size_t i = 0; i < definitions::quantity_count; ++i) {
      const auto& entry = definitions::entry(static_cast<definitions::Quantity>(i));
      CAPTURE(entry.key, altered == Foot::back);
      REQUIRE(std::isfinite(as_recorded[i]));
      if (!definitions::reads(entry.foot, altered))
        CHECK(now[i] == as_recorded[i]);
      else if (entry.unit != "s")  // times go by the events, which are the same here
        CHECK(now[i] != as_recorded[i]);
    }
  }
}

TEST_CASE(
    "every event but release lies on one plate's trace, and a peak that noise shifts is one") {
  for (std::size_t i = 0; i < definitions::event_count; ++i) {
    const auto event = static_cast<definitions::Event>(i);
    const Foot foot = definitions::entry(event).foot;
    CAPTURE(definitions::entry(event).key);
    CHECK(foot != Foot::both);
    CHECK((foot == Foot::none) == (event == definitions::Event::release));
  }
  for (std::size_t i = 0; i < definitions::quantity_count; ++i) {
    const auto& entry = definitions::entry(static_cast<definitions::Quantity>(i));
    CAPTURE(entry.key);
    if (entry.at_peak) CHECK(definitions::entry(*entry.at_peak).foot == entry.foot);
  }
}
