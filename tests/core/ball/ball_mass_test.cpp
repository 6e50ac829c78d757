// SPDX-License-Identifier: GPL-3.0-or-later
#include <catch2/catch.hpp>
#include <cmath>

#include "core/ball/speed.h"
#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/edit_list.h"
#include "core/session/reader.h"
#include "support/folder.h"

using namespace moundwork;
using definitions::Quantity;

namespace {

std::vector<pitch::AnalysedThrow> analysed_throws(const std::filesystem::path& path) {
  const auto reader = session::Reader::open(path);
  REQUIRE(reader);
  auto found = pitch::analyse(*reader, {});
  REQUIRE(found);
  return std::move(found->throws);
}

}  // namespace

TEST_CASE("a ball of twice the mass is slowed half as much on its way", "[ball]") {
  const support::Folder folder;
  const std::filesystem::path path = folder / "s.h5";
  model::SessionSettings settings;
  settings.seed = 12;
  settings.performance.pitches = 2;
  settings.station.lost_blocks_per_hour = 0.0;
  settings.compression = 0;
  REQUIRE(model::simulate_session(path, settings));
  const auto before = analysed_throws(path);
  REQUIRE(before.size() == 2);

  session::Edit heavy;
  heavy.throw_contact = before[0].contact;
  heavy.action = session::Action::tag;
  heavy.target = "ball";
  heavy.text = "290g";
  REQUIRE(session::append_edit(path, heavy));
  const auto after = analysed_throws(path);

  const auto reader = session::Reader::open(path);
  REQUIRE(reader);
  REQUIRE(reader->session().radar);
  // v0 = v exp(k x) for both, so half of k is missing of the ratio.
  const double k = ball::air_of(reader->session().conditions).drag.value;
  const double x = reader->session().radar->detection_distance.value;
  REQUIRE(x > 0.0);
  const double light = before[0].measured(Quantity::ball_speed).value;
  CHECK(after[0].measured(Quantity::ball_speed).value / light ==
        Approx(std::exp(-0.5 * k * x)).epsilon(1e-12));
  CHECK(after[1].measured(Quantity::ball_speed).value ==
        before[1].measured(Quantity::ball_speed).value);

  // The catch is heard when it was: a ball that keeps its speed left the hand later, or as late
  // where it was slower from the start; here the flight is x = D in t = (exp(k D) - 1) / (k v0).
  const auto heard = [](const pitch::AnalysedThrow& thrown) {
    for (const auto& one : thrown.release.candidates)
      if (one.witness == ball::Witness::catch_sound) return one.time;
    return std::nan("");
  };
  const double way = reader->session().microphone->flight_distance.value;
  const auto flight = [&](double drag, double speed) {
    return std::expm1(drag * way) / (drag * speed);
  };
  const double lighter = flight(k, light);
  const double heavier = flight(0.5 * k, light * std::exp(-0.5 * k * x));
  CHECK(heard(after[0]) - heard(before[0]) == Approx(lighter - heavier).margin(1e-9));
}
