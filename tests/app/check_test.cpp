// SPDX-License-Identifier: GPL-3.0-or-later
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "app/support/played_station.h"
#include "app/support/run_command.h"

using namespace moundwork;
using namespace moundwork::test;

namespace {

CommandRun check(const Playing& playing, const std::string& kind, const std::string& duration,
                 std::vector<std::string> more = {}) {
  std::vector<std::string> all{"check",           kind,         "--station",
                               playing.station(), "--duration", duration};
  all.insert(all.end(), more.begin(), more.end());
  return run_command(all);
}

/// Lines of the day's sheet, which lies beside the station file.
std::vector<nlohmann::json> sheet_of(const Playing& playing) {
  std::vector<nlohmann::json> lines;
  const auto folder = std::filesystem::path(playing.station()).parent_path();
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    const std::string name = entry.path().filename().string();
    if (name.rfind("checks-", 0) != 0) continue;
    CHECK(name.size() == std::string("checks-2026-04-18.jsonl").size());
    std::ifstream file(entry.path());
    for (std::string line; std::getline(file, line);) lines.push_back(nlohmann::json::parse(line));
  }
  return lines;
}

double ringing(double since) {
  return since >= 0.0 && since < 0.02 ? std::cos(600.0 * since) : 0.0;
}

}  // namespace

TEST_CASE("check rates and zero pass on a good station and go to the day's sheet with limits",
          "[check]") {
  StationScript script;
  script.length = 30.0;
  const Playing playing(script);
  const CommandRun zero = check(playing, "zero", "2s");
  CAPTURE(zero.err, zero.out);
  CHECK(zero.code == 0);
  CHECK(zero.out.find("pass  zero    back plate, force z ") != std::string::npos);
  CHECK(zero.out.find("wanted 0 within 100") != std::string::npos);
  const CommandRun rates = check(playing, "rates", "10s", {"--json"});
  CAPTURE(rates.err, rates.out);
  CHECK(rates.code == 0);
  CHECK(nlohmann::json::parse(rates.out)["pass"] == true);
  const auto sheet = sheet_of(playing);
  REQUIRE(sheet.size() == 2);
  CHECK(sheet[0]["lines"].size() == 12);  // two plates, three axes, mean and noise
  CHECK(sheet[0]["lines"][0]["limit"] == 100.0);
  CHECK(sheet[0]["made"].get<std::string>().size() == 27);
  CHECK(sheet[1]["lines"].size() == 6);  // three devices, rate and lost samples
}

TEST_CASE("a rate stated 1 % wrong fails the check of rates and is said by record", "[check]") {
  StationScript script;
  script.length = 40.0;
  const Playing playing(script);
  std::ifstream file(playing.station());
  std::string text(std::istreambuf_iterator<char>(file), {});
  file.close();
  // The first device is the back plate.
  for (const auto& [right, wrong] :
       {std::pair{"sample_rate = \"1000 Hz\"", "sample_rate = \"1010 Hz\""},
        std::pair{"tick_rate = \"1000000 Hz\"", "tick_rate = \"1010000 Hz\""}}) {
    const auto at = text.find(right);
    REQUIRE(at != std::string::npos);
    text.replace(at, std::string(right).size(), wrong);
  }
  std::ofstream(playing.station()) << text;
  const CommandRun rates = check(playing, "rates", "9s", {"--json", "--no-sheet"});
  CAPTURE(rates.err, rates.out);
  CHECK(rates.code == 3);
  const auto line = nlohmann::json::parse(rates.out)["lines"][0];
  CHECK(line["found"].get<double>() == Approx(1000.0).epsilon(3e-3));
  CHECK(line["wanted"] == 1010.0);
  const CommandRun run =
      run_command({"record", "--station", playing.station(), "--out", playing.path("taken.h5"),
                   "--mass", "80kg", "--duration", "9s", "--json"});
  CAPTURE(run.err, run.out);
  CHECK(run.code == 0);
  CHECK(run.out.find("\"event\":\"clock_disagrees\",\"device\":\"back plate\"") !=
        std::string::npos);
  CHECK(run.out.find("\"event\":\"clock_disagrees\",\"device\":\"lead plate\"") ==
        std::string::npos);
}

TEST_CASE("check weight tells force and place of a known weight, and a wrong one fails",
          "[check]") {
  StationScript script;
  script.length = 30.0;
  // 20 kg at 60 % of the way to the corner +x +y of the plate, which is +x -y in the lab.
  script.load = [](session::PlateRole role, double time) -> Standing {
    const double phase = std::fmod(time, 8.0);
    if (role == session::PlateRole::lead || phase < 4.0) return {};
    return {20.0 * 9.80665, {0.3 + 0.18, -0.18}};
  };
  {
    const Playing playing(script);
    const CommandRun run =
        check(playing, "weight", "7s", {"--mass", "20kg", "--point", "1", "--json"});
    CAPTURE(run.err, run.out);
    CHECK(run.code == 0);
    const auto lines = nlohmann::json::parse(run.out)["lines"];
    CHECK(lines[0]["found"].get<double>() == Approx(196.133).margin(0.05));
    CHECK(lines[1]["found"].get<double>() == Approx(0.0).margin(0.001));
  }
  const Playing playing(script);
  const CommandRun wrong = check(playing, "weight", "7s", {"--mass", "21kg", "--point", "1"});
  CAPTURE(wrong.err, wrong.out);
  CHECK(wrong.code == 3);
  CHECK(wrong.out.find("FAIL  weight") != std::string::npos);
  CHECK(sheet_of(playing)[0]["pass"] == false);
}

TEST_CASE("check fork holds the radar against the fork's speed", "[check]") {
  StationScript script;
  script.length = 20.0;
  // Doppler, f = 2 v f0 / c: 4676.67 Hz must read 65 mph at 24.125 GHz.
  for (int i = 0; i < 40; ++i)
    script.readings.push_back({session_time(0.5 + 0.4 * i), 65.0 * 0.44704, 1, "R 65.0 mph"});
  const Playing playing(script);
  const CommandRun good = check(playing, "fork", "3s", {"--frequency", "4676.67Hz", "--no-sheet"});
  CAPTURE(good.err, good.out);
  CHECK(good.code == 0);
  CHECK(good.out.find("pass  fork") != std::string::npos);
  CHECK(sheet_of(playing).empty());
  CHECK(check(playing, "fork", "2s", {"--frequency", "4000Hz"}).code == 3);
}

TEST_CASE("check tap hears both plates and the microphone, knocked between or one by one",
          "[check]") {
  const bool between = GENERATE(true, false);
  CAPTURE(between);
  StationScript script;
  script.length = 20.0;
  const auto knocks = [](double time, double first) {
    double sum = 0.0;
    for (int k = 0; k < 5; ++k) sum += ringing(time - first - 0.8 * k);
    return sum;
  };
  const double back = 1.5;
  const double lead = between ? back : 6.0;
  script.load = [=](session::PlateRole role, double time) -> Standing {
    const double first = role == session::PlateRole::back ? back : lead;
    return {90.0 * knocks(time, first), {role == session::PlateRole::back ? 0.3 : 1.5, 0.0}};
  };
  script.sound = [=](double time) {
    return knocks(time, back) + (between ? 0.0 : knocks(time, lead));
  };
  const Playing playing(script);
  const CommandRun run = check(playing, "tap", "12s", {"--json"});
  CAPTURE(run.err, run.out);
  CHECK(run.code == 0);
  const auto lines = nlohmann::json::parse(run.out)["lines"];
  REQUIRE(lines.size() == 3);
  for (const auto& line : lines) CHECK(std::abs(line["found"].get<double>()) < 0.002);
  const std::string first = lines[0]["item"];
  CHECK(first.find(between ? "lead plate after back plate, 5 knocks" : "by microphone") !=
        std::string::npos);
}

TEST_CASE("a check on a station that says nothing ends with one sentence", "[check]") {
  const support::Folder folder;
  const CommandRun none = run_command(
      {"check", "zero", "--station", (folder / "none.toml").string(), "--duration", "1s"});
  CHECK(none.code == 1);
  CHECK(one_sentence(none.err));
  StationScript script;
  script.length = 20.0;
  const Playing playing(script);
  const CommandRun silent = check(playing, "tap", "1s");
  CHECK(silent.code == 1);
  CHECK(silent.err.find("no knock was taken up by both the back plate and the lead plate") !=
        std::string::npos);
  CHECK(check(playing, "fork", "1s", {"--frequency", "4000"}).code == 1);
  // Said at once, and not after the check.
  for (const char* duration : {"0s", "-5s", "1e300s"}) {
    CAPTURE(duration);
    const CommandRun run = check(playing, "zero", duration);
    CHECK(run.code == 1);
    CHECK(one_sentence(run.err));
    CHECK(run.err.find("--duration") != std::string::npos);
  }
  CHECK(one_sentence(check(playing, "weight", "7s", {"--mass", "-20kg"}).err));
  CHECK(one_sentence(check(playing, "fork", "2s", {"--frequency", "0Hz"}).err));
  CHECK(sheet_of(playing).empty());
}

TEST_CASE("check's limits are the station file's, or those typed", "[check]") {
  StationScript script;
  script.length = 30.0;
  script.load = [](session::PlateRole, double) -> Standing { return {5.0, {0.3, 0.0}}; };
  const Playing playing(script);
  std::ofstream(playing.station(), std::ios::app)
      << "\n[check_limits]\nforce_zero = \"2 N\"\nforce_noise = \"50 N\"\n";
  const auto limit_of = [](const CommandRun& run, std::size_t line) {
    CAPTURE(run.err, run.out);
    return nlohmann::json::parse(run.out)["lines"][line]["limit"].get<double>();
  };
  const CommandRun own = check(playing, "zero", "2s", {"--json", "--no-sheet"});
  CHECK(own.code == 3);  // 5 N lie on each
  CHECK(limit_of(own, 0) == 2.0);
  CHECK(limit_of(own, 1) == 50.0);
  const CommandRun typed =
      check(playing, "zero", "2s", {"--json", "--no-sheet", "--zero-limit", "200N"});
  CHECK(typed.code == 0);
  CHECK(limit_of(typed, 0) == 200.0);
  CHECK(limit_of(typed, 1) == 50.0);

  const auto refused = [&](const char* kind, const char* option, const char* value) {
    const CommandRun run = check(playing, kind, "2s", {option, value, "--no-sheet"});
    CAPTURE(kind, option, value, run.err);
    CHECK(run.code == 1);
    CHECK(run.err.find(option) != std::string::npos);
  };
  refused("zero", "--zero-limit", "200");
  refused("zero", "--noise-limit", "0N");
  refused("rates", "--rate-limit", "0.0003");
  refused("rates", "--rate-limit", "nan%");
  refused("tap", "--tap-limit", "2mm");
}
