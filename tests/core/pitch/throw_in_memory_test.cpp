// SPDX-License-Identifier: GPL-3.0-or-later
// What follows from a moved event is computed here again from the traces by the definitions.
#include "core/pitch/throw_in_memory.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/edit_list.h"
#include "core/session/reader.h"
#include "core/session/results.h"
#include "support/folder.h"

using namespace moundwork;
using definitions::Event;
using definitions::Quantity;
using pitch::MovedEvents;

namespace {

// A simulated session of two throws, errors and all.
struct Example {
  support::Folder folder;
  std::filesystem::path path = folder / "s.h5";

  explicit Example(bool trigger = false) {
    model::SessionSettings settings;
    settings.seed = 11;
    settings.station.trigger = trigger;
    settings.performance.pitches = 2;
    settings.compression = 0;
    REQUIRE(model::simulate_session(path, settings));
  }
  [[nodiscard]] session::Reader reader() const {
    auto opened = session::Reader::open(path);
    REQUIRE(opened);
    return std::move(*opened);
  }
  [[nodiscard]] pitch::Analysis analysis() const {
    auto found = pitch::analyse(reader(), {});
    REQUIRE(found);
    REQUIRE(found->throws.size() == 2);
    return std::move(*found);
  }
};

pitch::ThrowInMemory second_throw(const session::Reader& reader) {
  const auto throws = pitch::SessionThrows::find(reader, {});
  REQUIRE(throws);
  REQUIRE(throws->contacts().size() == 2);
  auto thrown = throws->take(1);
  REQUIRE(thrown);
  return std::move(*thrown);
}

// Integral by trapezoids of a tenth of a sample, with values between samples by straight lines.
double integral(const foot::FootForces& foot, const Eigen::ArrayXd& force, double from, double to,
                bool positive_only) {
  const auto value = [&](double time) {
    const double index = foot.index(time);
    const auto left = static_cast<Eigen::Index>(index);
    const double share = index - static_cast<double>(left);
    const double between = (1.0 - share) * force(left) + share * force(left + 1);
    return positive_only ? std::max(between, 0.0) : between;
  };
  const auto pieces = static_cast<int>(std::ceil((to - from) / (0.1 * foot.step)));
  const double width = (to - from) / pieces;
  double sum = 0.5 * (value(from) + value(to));
  for (int i = 1; i < pieces; ++i) sum += value(from + i * width);
  return sum * width;
}

session::Edit edit_of(double contact, session::Action action) {
  session::Edit edit;
  edit.throw_contact = contact;
  edit.action = action;
  return edit;
}

bool flagged(const pitch::AnalysedThrow& thrown, const std::string& key) {
  return std::any_of(thrown.flags.begin(), thrown.flags.end(),
                     [&](const auto& flag) { return flag.key == key; });
}

}  // namespace

TEST_CASE("a throw at hand is measured as the analysis measures it", "[edits]") {
  const Example example;
  const auto reader = example.reader();
  const auto thrown = second_throw(reader);
  const auto measured = thrown.measure();
  const auto analysed = example.analysis().throws[1];
  // The analysis filters only what its numbers are read from; of a filter's memory of the ends less
  // than a millionth of what is known is left.
  CHECK(thrown.contact() == Approx(analysed.contact).epsilon(0.0).margin(1e-9));
  const auto values = thrown.values();
  for (std::size_t i = 0; i < definitions::quantity_count; ++i) {
    const auto quantity = static_cast<Quantity>(i);
    CAPTURE(definitions::entry(quantity).key);
    const Measured now = measured.measured(quantity), then = analysed.measured(quantity);
    REQUIRE(now.known() == then.known());
    if (!now.known()) continue;
    CHECK(now.value == Approx(then.value).epsilon(0.0).margin(1e-6 * then.u));
    CHECK(now.u == Approx(then.u).epsilon(1e-6));
    CHECK(values[i] == Approx(analysed.quantities[i]).epsilon(0.0).margin(1e-6 * then.u));
  }
  const auto same = pitch::take_throw(reader, {}, thrown.contact() + 0.01);
  REQUIRE(same);
  CHECK(same->contact() == thrown.contact());
  CHECK_FALSE(pitch::take_throw(reader, {}, thrown.contact() + 1.0));
}

TEST_CASE("release moved: braking impulse and timing follow, the drive stays", "[edits]") {
  const Example example;
  const auto thrown = second_throw(example.reader());
  const auto before = thrown.measure();
  MovedEvents moved;
  const double release = definitions::at(before.events, Event::release) + 0.01;
  moved.move(Event::release, release, 0.003);
  const auto after = thrown.measure(moved);
  const auto change = [&](Quantity quantity) {
    return after.measured(quantity).value - before.measured(quantity).value;
  };
  CHECK(after.measured(Event::release).value == release);
  CHECK(after.measured(Event::release).u == Approx(0.003));
  CHECK(after.release.time.value == release);
  CHECK(change(Quantity::contact_to_release) == Approx(0.01));
  CHECK(change(Quantity::braking_timing) == Approx(-0.01));
  CHECK(change(Quantity::braking_impulse) ==
        Approx(-integral(thrown.data().lead, thrown.data().lead.x, release - 0.01, release, false))
            .epsilon(1e-3));
  // GUM 5.1.2: of contact to release, both times' uncertainties add in squares.
  CHECK(after.measured(Quantity::contact_to_release).u ==
        Approx(std::hypot(0.003, after.measured(Event::lead_contact).u)).epsilon(0.1));
  for (const Quantity quantity :
       {Quantity::drive_impulse, Quantity::heel_toe_at_drive_peak, Quantity::braking_impulse_whole})
    CHECK(change(quantity) == 0.0);
  CHECK(definitions::at(after.found, Event::release) ==
        definitions::at(before.events, Event::release));
}

TEST_CASE("lead contact moved: drive impulse and overlap follow, other events stay", "[edits]") {
  const Example example;
  const auto thrown = second_throw(example.reader());
  const auto before = thrown.measure();
  const double found = definitions::at(before.events, Event::lead_contact);
  MovedEvents moved;
  moved.move(Event::lead_contact, found - 0.008, 0.0005);
  const auto after = thrown.measure(moved);
  const auto change = [&](Quantity quantity) {
    return after.measured(quantity).value - before.measured(quantity).value;
  };
  CHECK(change(Quantity::both_feet_overlap) == Approx(0.008));
  CHECK(change(Quantity::drive_impulse) ==
        Approx(-integral(thrown.data().back, thrown.data().back.x, found - 0.008, found, true))
            .epsilon(1e-3));
  for (const Event event : {Event::drive_peak, Event::drive_start, Event::back_foot_off,
                            Event::braking_peak, Event::vertical_peak, Event::release})
    CHECK(definitions::at(after.events, event) == definitions::at(before.events, event));
  // The budget has the hand's part, which the law of propagation passes on whole.
  const auto moved_part = static_cast<std::size_t>(pitch::Source::moved);
  CHECK(after.uncertainty.events[static_cast<std::size_t>(Event::lead_contact)][moved_part] ==
        Approx(0.0005));
  CHECK(thrown.contact() == found);
}

TEST_CASE("drive peak moved: its force is the force there and drive start follows it", "[edits]") {
  const Example example;
  const auto thrown = second_throw(example.reader());
  const auto& back = thrown.data().back;
  const auto index = static_cast<Eigen::Index>(
      std::lround(back.index(definitions::at(thrown.found(), Event::drive_peak) - 0.06)));
  MovedEvents moved;
  moved.move(Event::drive_peak, back.time(static_cast<double>(index)), 0.001);
  const auto events = thrown.events(moved);
  CHECK(definitions::at(thrown.values(moved), Quantity::drive_peak_force) ==
        Approx(back.x(index)).epsilon(1e-6));
  const double start = back.index(definitions::at(events, Event::drive_start));
  const auto left = static_cast<Eigen::Index>(start);
  const double share = start - static_cast<double>(left);
  CHECK((1 - share) * back.x(left) + share * back.x(left + 1) ==
        Approx(0.25 * back.x(index)).epsilon(1e-6));
  CHECK(definitions::at(events, Event::drive_start) <
        definitions::at(thrown.found(), Event::drive_start));
}

TEST_CASE("an analysis follows a session's edits and says so", "[edits]") {
  const Example example;
  const auto before = example.analysis();
  const double contact = before.throws[1].contact;
  session::Edit move = edit_of(contact, session::Action::move_event);
  move.when = "2026-03-01T10:00:00Z";
  move.who = "coach";
  move.why = "seen on video";
  move.target = "lead_contact";
  move.value = contact - 0.02;
  REQUIRE(session::append_edit(example.path, move));
  session::Edit exclude = edit_of(before.throws[0].contact, session::Action::exclude);
  exclude.why = "slipped";
  REQUIRE(session::append_edit(example.path, exclude));
  const auto after = example.analysis();
  REQUIRE(after.throws[0].excluded);
  CHECK(after.throws[0].excluded->why == "slipped");
  CHECK_FALSE(flagged(after.throws[0], "moved_by_hand"));
  CHECK_FALSE(after.throws[1].excluded);
  CHECK(definitions::at(after.throws[1].events, Event::lead_contact) == contact - 0.02);
  REQUIRE(flagged(after.throws[1], "moved_by_hand"));
  const std::string detail = after.throws[1].flags.back().detail;
  for (const char* told : {"lead_contact", "coach", "2026-03-01T10:00:00Z", "seen on video"})
    CHECK(detail.find(told) != std::string::npos);
  // Still the same throw to its edits, however far its contact was moved.
  const auto results = pitch::to_results(after, {}, "2026-03-01T11:00:00Z");
  CHECK(seconds(results.throws[1].contact) == Approx(contact).epsilon(0.0).margin(1e-9));
  const auto edits = session::read_edits(example.path);
  REQUIRE(edits);
  CHECK(session::moves_in(results.throws[1], session::state_of(*edits, contact)));

  REQUIRE(session::append_edit(example.path, edit_of(contact, session::Action::reset)));
  CHECK(definitions::at(example.analysis().throws[1].events, Event::lead_contact) == contact);
}

TEST_CASE("a move to where the throw was not recorded is told and not used", "[edits]") {
  const Example example;
  const auto thrown = second_throw(example.reader());
  for (const double time : {thrown.contact() + 1e9, -1e9, double(NAN)}) {
    session::EditState state;
    state.moved = {{"release", time, 0.0, "2026-03-01T10:00:00Z", "coach", "slip of the finger"}};
    const auto measured = thrown.measure(state);
    CHECK(measured.events == thrown.found());
    CHECK(flagged(measured, "move_not_used"));
  }
  session::EditState state;
  state.moved = {{"no_such_event", thrown.contact(), 0.0, "", "", ""}};
  CHECK(flagged(thrown.measure(state), "move_not_used"));
}

TEST_CASE("events put in an impossible order leave numbers unknown, not wrong", "[edits]") {
  const Example example;
  const auto thrown = second_throw(example.reader());
  MovedEvents moved;
  moved.move(Event::release, definitions::at(thrown.found(), Event::lead_contact) - 0.05, 0.0005);
  const auto measured = thrown.measure(moved);
  CHECK_FALSE(measured.measured(Quantity::braking_impulse).known());
  CHECK_FALSE(measured.measured(Quantity::turning_impulse_after_contact).known());
  CHECK(measured.measured(Quantity::contact_to_release).value == Approx(-0.05));
}

TEST_CASE("a trigger on a plate's device shares that plate's clock error", "[edits]") {
  const Example example(true);
  const auto measured = second_throw(example.reader()).measure();
  const auto clock = [&](const pitch::Contributions& parts) {
    return parts[static_cast<std::size_t>(pitch::Source::clock)];
  };
  const auto& parts = measured.uncertainty;
  const double of_contact = clock(parts.events[static_cast<std::size_t>(Event::lead_contact)]);
  REQUIRE(of_contact > 1e-5);
  // The simulated trigger is wired to the lead plate's device: what stamps both cancels between
  // them, but not from the back foot, whose plate has a clock of its own.
  CHECK(clock(parts.events[static_cast<std::size_t>(Event::release)]) > 0.5 * of_contact);
  CHECK(clock(parts.quantities[static_cast<std::size_t>(Quantity::contact_to_release)]) <
        0.5 * of_contact);
  CHECK(clock(parts.quantities[static_cast<std::size_t>(Quantity::drive_peak_to_contact)]) >
        of_contact);
}
