// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/weigh_in_words.h"

#include <catch2/catch.hpp>
#include <limits>

using namespace moundwork;
using namespace moundwork::desk;

TEST_CASE("a weigh-in says what becomes of the roster's mass, and of the foot", "[desk]") {
  weigh_in::WeighIn weighed;
  weighed.mass = {48.3, 0.1};
  RosterAthlete athlete;
  athlete.mass = 47.5;
  athlete.height = athlete.foot_length = std::numeric_limits<double>::quiet_NaN();
  CHECK(goes_to_roster(weighed, athlete));
  CHECK(kept_words(weighed, athlete).contains(QStringLiteral("from 47.5 kg to 48.3 kg")));
  CHECK(standing_words(weighed, athlete).endsWith(QStringLiteral("foot not known")));

  athlete.foot_length = 0.25;
  CHECK(standing_words(weighed, athlete).endsWith(QStringLiteral("foot estimated")));
  CHECK(kept_words(weighed, athlete).contains(QStringLiteral("estimate")));

  // One foot beside the plates: nobody lost 22 kg.
  weighed.mass = {26.88, 0.10};
  athlete.mass = 48.1;
  CHECK_FALSE(goes_to_roster(weighed, athlete));
  CHECK(kept_words(weighed, athlete).contains(QStringLiteral("26.9 kg")));
  CHECK(kept_words(weighed, athlete).contains(QStringLiteral("48.1 kg and keeps it")));
  CHECK(kept_words(weighed, athlete).contains(QStringLiteral("both feet")));
}
