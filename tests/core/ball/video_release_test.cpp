// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>

#include "core/marks/frame_marks.h"
#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/edit_list.h"
#include "core/session/edit_state.h"
#include "core/session/reader.h"
#include "core/session/results.h"
#include "support/folder.h"

using namespace moundwork;
using definitions::Event;

namespace {

struct Day {
  support::Folder folder;
  std::filesystem::path path = folder / "s.h5";
  std::vector<double> released, contacts;  // s, the truth

  Day() {
    model::SessionSettings settings;
    settings.seed = 12;
    settings.performance.pitches = 4;
    settings.station.lost_blocks_per_hour = 0.0;
    settings.compression = 0;
    const auto written = model::simulate_session(path, settings);
    REQUIRE(written);
    const auto truth = nlohmann::json::parse(std::ifstream(written->truth));
    for (const auto& thrown : truth.at("throws")) {
      released.push_back(thrown.at("events").at("release").get<double>());
      contacts.push_back(thrown.at("events").at("lead_contact").get<double>());
    }
  }
  [[nodiscard]] session::Reader reader() const {
    auto opened = session::Reader::open(path);
    REQUIRE(opened);
    return std::move(*opened);
  }
  [[nodiscard]] std::vector<pitch::AnalysedThrow> throws() const {
    const auto opened = reader();
    auto found = pitch::analyse(opened, {});
    REQUIRE(found);
    REQUIRE(found->throws.size() == 4);
    return std::move(found->throws);
  }
  /// Marks the release as a camera of 1,000 frames a second shows it.
  void mark(std::size_t thrown, double wrong = 0.0) const {
    const marks::FrameMark mark{
        marks::BodyMark::release,
        std::round(1000.0 * (released[thrown] - contacts[thrown] + wrong)) + 500.0, 500.0, 1000.0};
    REQUIRE(session::append_edit(path, marks::to_edit(mark, contacts[thrown])));
  }
};

const ball::ReleaseCandidate* candidate(const pitch::AnalysedThrow& thrown, ball::Witness witness) {
  for (const auto& one : thrown.release.candidates)
    if (one.witness == witness) return &one;
  return nullptr;
}

}  // namespace

TEST_CASE("a release marked in a video tells that throw, and corrects the others' instruments",
          "[release]") {
  const Day day;
  const auto before = day.throws();
  for (const auto& thrown : before) REQUIRE(thrown.release.candidates.size() == 2);
  day.mark(0);
  const auto after = day.throws();

  // u: half a frame twice, sqrt(2) 0.5 / sqrt(3) ms, and 2 ms of seeing the landing.
  const auto* marked = candidate(after[0], ball::Witness::video_mark);
  REQUIRE(marked != nullptr);
  CHECK(marked->time == Approx(day.released[0]).margin(0.0006));
  CHECK(marked->u == Approx(std::hypot(0.001 / std::sqrt(6.0), 0.002)).epsilon(1e-9));
  CHECK(candidate(after[1], ball::Witness::video_mark) == nullptr);
  for (std::size_t i = 0; i < 4; ++i)
    CHECK(after[i].measured(Event::release).u < before[i].measured(Event::release).u);

  SECTION("a throw taken in hand is the one that the analysis measures") {
    const auto reader = day.reader();
    const auto throws = pitch::SessionThrows::find(reader, {});
    REQUIRE(throws);
    for (std::size_t i = 0; i < 4; ++i) {
      const auto taken = throws->take(i);
      REQUIRE(taken);
      CHECK(taken->release().time.value == after[i].release.time.value);
      CHECK(taken->release().time.u == after[i].release.time.u);
    }
  }
  SECTION("a mark taken back tells nothing more") {
    const auto edits = session::read_edits(day.path);
    REQUIRE(edits);
    REQUIRE(session::append_edit(day.path, session::undo_of((*edits)[0])));
    const auto again = day.throws();
    for (std::size_t i = 0; i < 4; ++i)
      CHECK(again[i].release.time.value == before[i].release.time.value);
  }
}

TEST_CASE("a release dragged by hand is that throw's alone", "[release]") {
  const Day day;
  const auto before = day.throws();
  session::Edit move;
  move.throw_contact = before[0].contact;
  move.action = session::Action::move_event;
  move.target = "release";
  move.value = day.released[0];
  move.u = 0.0005;
  REQUIRE(session::append_edit(day.path, move));
  const auto after = day.throws();
  CHECK(after[0].measured(Event::release).value == day.released[0]);
  for (std::size_t i = 1; i < 4; ++i) {
    CHECK(after[i].release.time.value == before[i].release.time.value);
    CHECK(after[i].release.time.u == before[i].release.time.u);
  }
}

TEST_CASE("a mark of the wrong moment is told and moves no other throw", "[release]") {
  const Day day;
  const auto before = day.throws();
  day.mark(0, 0.05);
  const auto after = day.throws();
  CHECK(std::any_of(after[0].flags.begin(), after[0].flags.end(),
                    [](const auto& flag) { return flag.key == "release_disagreement"; }));
  // What is lost is what the throw's own sound and radar had taught.
  for (std::size_t i = 1; i < 4; ++i)
    CHECK(std::abs(after[i].release.time.value - before[i].release.time.value) <
          before[i].release.time.u);
}
