// SPDX-License-Identifier: GPL-3.0-or-later
// A lab's own limits by age, which every page keeps to.
#include <catch2/catch.hpp>
#include <fstream>

#include "app/desk/state/desk_state.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

TEST_CASE("the lab's own pitch counts stand in for the common ones, or nothing does",
          "[desk][safety]") {
  const support::Folder folder;
  DeskState state{Preferences{}};
  REQUIRE(state.open_lab(folder / "common"));
  CHECK(state.pitch_counts().source == safety::common_pitch_counts().source);

  const LabFolder own{folder / "own"};
  REQUIRE(state.open_lab(own.root));
  std::ofstream(own.pitch_counts()) << "source = \"Rules of our league\"\ndated = \"2026-03\"\n"
                                       "[[band]]\nfrom = 9\nto = 12\nmost_a_day = 60\n"
                                       "rest = [[20, 0], [40, 1]]\nrest_beyond = 3\n";
  REQUIRE(state.open_lab(own.root));
  CHECK(state.pitch_counts().source == "Rules of our league");
  CHECK(safety::band_of(state.pitch_counts(), 12)->most_a_day == 60);
  CHECK(safety::band_of(state.pitch_counts(), 14) == nullptr);

  // A limit that cannot be read is not replaced by another: the lab before stays open.
  const LabFolder broken{folder / "broken"};
  std::filesystem::create_directories(broken.root);
  std::ofstream(broken.pitch_counts()) << "source = \"Rules\"\ndated = \"2026\"\n";
  const auto refused = state.open_lab(broken.root);
  REQUIRE_FALSE(refused);
  CHECK_THAT(refused.error().sentence(), Catch::Contains("pitch-counts.toml"));
  CHECK(state.lab().root == own.root);
  CHECK(state.pitch_counts().source == "Rules of our league");
}
