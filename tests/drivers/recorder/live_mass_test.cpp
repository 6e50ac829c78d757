// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/live_mass.h"

#include <catch2/catch.hpp>

using namespace moundwork;
using namespace moundwork::drivers;

namespace {

/// Two seconds on the back plate, N at each of its bins.
template <class Force>
LiveSnapshot standing(Force force) {
  LivePlate plate;
  plate.bin = 0.005;
  plate.start = 10.0;
  plate.zeroed = true;
  for (int i = 0; i < 400; ++i) {
    LiveBin bin;
    bin.force = {0.0F, 0.0F, static_cast<float>(force(i))};
    plate.bins.push_back(bin);
  }
  return {12.0, {plate}};
}

session::Session stated(double kg) {
  session::Session session;
  session.athlete.mass = {kg, 0.1};
  return session;
}

}  // namespace

TEST_CASE("a plate that carries more than the stated mass says so while it is recorded") {
  // Weight of 60 kg at 9.80665 m/s2 (CGPM 1901).
  const auto sixty = [](int) { return 588.4; };
  const auto doubt = doubt_of_mass(standing(sixty), stated(45.0));
  REQUIRE(doubt);
  CHECK(doubt->key == "heavier_than_stated");
  CHECK(doubt->detail.find("carried 60.0 kg") != std::string::npos);
  CHECK(doubt->detail.find("45.0 kg") != std::string::npos);
  CHECK_FALSE(doubt_of_mass(standing(sixty), stated(60.0)));
  // A push of half of the time is no stand.
  CHECK_FALSE(
      doubt_of_mass(standing([](int i) { return i % 50 < 25 ? 588.4 : 300.0; }), stated(45.0)));
  LiveSnapshot unzeroed = standing(sixty);
  unzeroed.plates.front().zeroed = false;
  CHECK_FALSE(doubt_of_mass(unzeroed, stated(45.0)));
}

TEST_CASE("a stand on two plates of a foot is one stand") {
  // 30 kg on each, at 9.80665 m/s2 (CGPM 1901).
  LiveSnapshot seen = standing([](int) { return 294.2; });
  seen.plates.front().frame.up = Eigen::Vector3d::UnitZ();
  seen.plates.push_back(seen.plates.front());
  const auto doubt = doubt_of_mass(seen, stated(45.0));
  REQUIRE(doubt);
  CHECK(doubt->detail.find("carried 60.0 kg") != std::string::npos);
  // A foot on each of the two plates is no one foot's stand, as before.
  seen.plates.back().role = session::PlateRole::lead;
  CHECK_FALSE(doubt_of_mass(seen, stated(45.0)));
}
