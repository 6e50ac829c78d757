// SPDX-License-Identifier: GPL-3.0-or-later
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "app/support/played_station.h"
#include "app/support/run_command.h"
#include "core/weigh_in/weigh_in_file.h"

using namespace moundwork;
using namespace moundwork::test;

namespace {

constexpr double pi = 3.14159265358979323846;
constexpr double weight = 78.5 * 9.80665;  // N

/// Off the plates for 2.5 s; a foot on each plate to 6 s; the back foot on its heel to 10 s, then
/// on its toes. Changing over is not quiet.
Standing person(session::PlateRole role, double time) {
  const double sway = std::sin(2.0 * pi * 1.2 * time);
  if (time < 2.5) return {};
  if (time < 6.0) {
    const double share = role == session::PlateRole::back ? 0.45 : 0.55;
    return {share * weight + sway, {role == session::PlateRole::back ? 0.2 : 1.4, 0.0}};
  }
  if (role == session::PlateRole::lead) return {};
  return {weight + 2.0 * sway, {0.07 + 0.001 * sway, time < 10.0 ? 0.11 : -0.14}};
}

std::vector<std::string> command(const Playing& playing, std::vector<std::string> more = {}) {
  std::vector<std::string> all{
      "weigh-in", "--station", playing.station(), "--out", playing.path("w.toml"), "--empty", "2s",
      "--stand",  "4s",        "--stance",        "4s"};
  all.insert(all.end(), more.begin(), more.end());
  return all;
}

}  // namespace

TEST_CASE("weigh-in finds mass and foot line of a person on the plates", "[weigh_in]") {
  StationScript script;
  script.length = 16.0;
  script.load = person;
  const Playing playing(script);
  const CommandRun run =
      run_command(command(playing, {"--athlete", "a7", "--throws", "right", "--json"}));
  CAPTURE(run.err, run.out);
  REQUIRE(run.code == 0);
  const auto printed = nlohmann::json::parse(run.out);
  CHECK(printed["mass_kg"]["value"].get<double>() == Approx(78.5).margin(0.05));
  const auto file = weigh_in::read_weigh_in(playing.path("w.toml"));
  if (!file) FAIL(file.error().sentence());
  CHECK(file->athlete == "a7");
  CHECK(file->station == "virtual station");
  CHECK(file->made.size() == 27);
  CHECK(file->mass.value == Approx(78.5).margin(0.05));
  // Gains of 0.2 % on shares of 45 and 55 %, gravity of 0.15 %, zeros of 0.5 N each; a little more
  // for the zeros' age and for swaying.
  const double by_calibration = 78.5 * std::hypot(0.002 * std::hypot(0.45, 0.55), 0.0015);
  const double by_zeros = std::hypot(0.5, 0.5) / 9.80665;
  CHECK(file->mass.u == Approx(std::hypot(by_calibration, by_zeros)).margin(0.01));
  REQUIRE(file->foot_line);
  CHECK(file->foot_line->heel.x() == Approx(0.07).margin(0.001));
  CHECK(file->foot_line->heel.y() == Approx(0.11).margin(0.001));
  CHECK(file->foot_line->toe.y() == Approx(-0.14).margin(0.001));

  const CommandRun again = run_command(command(playing));
  CHECK(again.code == 1);
  CHECK(again.err.find("is there already") != std::string::npos);
}

TEST_CASE("a weigh-in that was not quiet is refused in one sentence and writes nothing",
          "[weigh_in]") {
  StationScript script;
  script.length = 10.0;
  script.load = [](session::PlateRole role, double time) -> Standing {
    if (time < 2.5 || role == session::PlateRole::lead) return {};
    return {weight * (1.0 + 0.05 * std::sin(2.0 * pi * 1.5 * time)), {0.2, 0.0}};
  };
  const Playing playing(script);
  const CommandRun run = run_command(command(playing, {"--mass-only"}));
  CAPTURE(run.err);
  CHECK(run.code == 1);
  CHECK(run.err.find("was not quiet") != std::string::npos);
  CHECK_FALSE(std::filesystem::exists(playing.path("w.toml")));
}
