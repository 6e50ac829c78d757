// SPDX-License-Identifier: GPL-3.0-or-later
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "app/support/played_station.h"
#include "app/support/run_command.h"
#include "support/folder.h"

using namespace moundwork;
using test::run_command;

namespace {

std::vector<std::string> lines_of(const std::filesystem::path& path) {
  std::ifstream file(path);
  std::vector<std::string> lines;
  for (std::string line; std::getline(file, line);) lines.push_back(line);
  return lines;
}

}  // namespace

TEST_CASE("a light gate is simulated, played, recorded, checked and exported", "[light-gate]") {
  const support::Folder folder;
  const std::string made = (folder / "made.h5").string();
  const auto simulated = run_command({"simulate", "--session", "--out", made, "--pitches", "2",
                                      "--with", "light_gate", "--seed", "6"});
  CAPTURE(simulated.err);
  REQUIRE(simulated.code == 0);
  CHECK(run_command({"simulate", "--session", "--out", made, "--with", "sun_dial"}).code != 0);
  REQUIRE(run_command({"analyse", made}).code == 0);
  const auto exported = run_command({"export", made, "--out", (folder / "tables").string()});
  CAPTURE(exported.err);
  REQUIRE(exported.code == 0);
  const auto crossings = lines_of(folder / "tables/light_gate_crossings.csv");
  REQUIRE(crossings.size() == 3);  // a header and a crossing each pitch
  CHECK(crossings[0] == "athlete,session,instrument,arrival,count,ticks,text\r");
  CHECK(crossings[1].find(",light gate,") != std::string::npos);
  CHECK(crossings[1].find(",G 1 ") != std::string::npos);
  CHECK(crossings[2].find(",G 2 ") != std::string::npos);
  const auto definitions = lines_of(folder / "tables/definitions.csv");
  CHECK(std::any_of(definitions.begin(), definitions.end(),
                    [](const auto& line) { return line.starts_with("ticks,1,"); }));

  const test::Playing playing{std::filesystem::path(made)};
  const auto checked = run_command({"check", "gate", "--station", playing.station(), "--duration",
                                    "1s", "--no-sheet", "--json"});
  CAPTURE(checked.err);
  CHECK(checked.code == 3);  // nobody broke the beam
  CHECK(checked.err.find("three times") != std::string::npos);
  const auto sheet = nlohmann::json::parse(checked.out)["lines"];
  REQUIRE(sheet.size() == 1);
  CHECK(sheet[0]["check"] == "gate");
  CHECK(sheet[0]["found"] == 0.0);
  CHECK(sheet[0]["wanted"] == 3.0);

  const auto recorded =
      run_command({"record", "--station", playing.station(), "--out", playing.path("taken.h5"),
                   "--mass", "80kg", "--duration", "1s"});
  CAPTURE(recorded.err);
  CHECK(recorded.code == 0);
  CHECK(recorded.err.find("light gate: crossings: 0, other lines: 0") != std::string::npos);
}
