// SPDX-License-Identifier: GPL-3.0-or-later
#include <sys/wait.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <thread>

#include "app/support/played_station.h"
#include "app/support/run_command.h"
#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/reader.h"
#include "core/weigh_in/weigh_in_file.h"

using namespace moundwork;
using namespace moundwork::test;
using namespace std::chrono_literals;

namespace {

std::vector<nlohmann::json> lines_of(const std::string& text) {
  std::vector<nlohmann::json> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.push_back(nlohmann::json::parse(line));
  return lines;
}

nlohmann::json event_of(const std::vector<nlohmann::json>& lines, const std::string& kind,
                        const std::string& device = "") {
  for (const auto& line : lines)
    if (line["event"] == kind && (device.empty() || line["device"] == device)) return line;
  FAIL("no event " << kind << " " << device);
  return {};
}

pitch::Analysis analysis_of(const std::filesystem::path& path) {
  const auto reader = session::Reader::open(path);
  if (!reader) FAIL(reader.error().sentence());
  auto analysis = pitch::analyse(*reader, {});
  if (!analysis) FAIL(analysis.error().sentence());
  return *analysis;
}

StationScript empty_station(double length) {
  StationScript script;
  script.length = length;
  return script;
}

}  // namespace

TEST_CASE("record takes a played session, shows its throw and keeps its numbers", "[record]") {
  const support::Folder folder;
  model::SessionSettings settings;
  settings.seed = 3;
  settings.station.errors.loss = false;
  const auto made = model::simulate_session(folder / "made.h5", settings);
  if (!made) FAIL(made.error().sentence());
  const auto truth = analysis_of(folder / "made.h5");
  REQUIRE(truth.throws.size() == 1);
  const double contact = truth.throws[0].measured(definitions::Event::lead_contact).value;
  double mass = 0.0;
  {
    const auto reader = session::Reader::open(folder / "made.h5");
    mass = reader->session().athlete.mass.value;
  }
  const Playing playing(folder / "made.h5", std::max(0.0, contact - 9.0));
  const CommandRun run = run_command({"record",
                                      "--station",
                                      playing.station(),
                                      "--out",
                                      playing.path("taken.h5"),
                                      "--athlete",
                                      "a1",
                                      "--mass",
                                      std::to_string(mass) + "kg",
                                      "--json",
                                      "--duration",
                                      "12s",
                                      "--temperature",
                                      "22C",
                                      "--pressure",
                                      "1010hPa",
                                      "--humidity",
                                      "45%",
                                      "--surface",
                                      "mound, wet"});
  CAPTURE(run.err, run.out);
  REQUIRE(run.code == 0);
  CHECK(run.err.empty());
  const auto lines = lines_of(run.out);
  const auto thrown = event_of(lines, "throw");
  CHECK(thrown["delay_s"] < 1.0);  // shown within a second
  // The same object as `analyse --json` prints of a throw.
  for (const char* key : {"number", "events", "quantities", "not_measured", "release_candidates",
                          "flags", "flag_details", "excluded", "tags"}) {
    CAPTURE(key);
    CHECK(thrown.contains(key));
  }
  {
    const auto reader = session::Reader::open(playing.path("taken.h5"));
    REQUIRE(reader);
    const session::Conditions& conditions = reader->session().conditions;
    CHECK(conditions.temperature.value == 22.0);
    CHECK(conditions.pressure.value == 101000.0);
    CHECK(conditions.relative_humidity.value == Approx(0.45));
    CHECK(conditions.surface == "mound, wet");
  }
  const auto taken = analysis_of(playing.path("taken.h5"));
  REQUIRE(taken.throws.size() == 1);
  for (const auto quantity :
       {definitions::Quantity::ball_speed, definitions::Quantity::drive_peak_force,
        definitions::Quantity::braking_impulse_whole, definitions::Quantity::vertical_peak_force}) {
    const std::string key(definitions::entry(quantity).key);
    CAPTURE(key);
    const Measured as_made = truth.throws[0].measured(quantity);
    const Measured as_taken = taken.throws[0].measured(quantity);
    CHECK(as_taken.value == Approx(as_made.value).margin(as_made.u));
    CHECK(thrown["quantities"][key]["value"].get<double>() ==
          Approx(as_made.value).margin(as_made.u));
  }
  for (const char* device : {"back plate", "lead plate"}) {
    const auto counts = event_of(lines, "counts", device);
    CHECK(counts["missing_rows"] == 0);
    CHECK(counts["bad_checksum"] == 0);
    CHECK(counts["rows"] > 9000);
  }
  CHECK(event_of(lines, "end")["fullest_queue"] < 0.5);
}

TEST_CASE("a killed record is gone on with by --continue, the break a gap in the file",
          "[record][kill]") {
  const Playing playing(empty_station(30.0));
  const std::string out = playing.path("taken.h5");
  const pid_t child = run_apart(
      {"record", "--station", playing.station(), "--out", out, "--mass", "80kg", "--json"});
  std::this_thread::sleep_for(2500ms);
  REQUIRE(kill(child, SIGKILL) == 0);
  int status = 0;
  REQUIRE(waitpid(child, &status, 0) == child);
  REQUIRE(WIFSIGNALED(status));
  std::int64_t before = 0;
  {
    const auto reader = session::Reader::open(out);
    REQUIRE(reader);
    before = reader->sample_count(0);
    CHECK(before > 1000);
  }
  const CommandRun run = run_command({"record", "--station", playing.station(), "--out", out,
                                      "--continue", "--json", "--duration", "2s"});
  CAPTURE(run.err, run.out);
  REQUIRE(run.code == 0);
  const auto counts = event_of(lines_of(run.out), "counts", "back plate");
  CHECK(counts["gaps"] == 1);
  const auto reader = session::Reader::open(out);
  REQUIRE(reader);
  CHECK(reader->sample_count(0) > before + 1000);
  const auto blocks = reader->blocks(0);
  REQUIRE(blocks);
  std::int64_t missing = 0;
  for (const auto& block : *blocks) missing += block.missing_before;
  CHECK(missing == counts["missing_rows"]);
  // What the device sent from first to last row is there or counted as missing.
  const auto ticks = static_cast<std::int64_t>(blocks->back().ticks) -
                     static_cast<std::int64_t>(blocks->front().ticks);
  CHECK(ticks / 1000 == blocks->back().first_sample + missing);
}

TEST_CASE("record takes mass and foot line from a weigh-in", "[record][weigh_in]") {
  const Playing playing(empty_station(20.0));
  weigh_in::WeighIn weigh_in;
  weigh_in.athlete = "a7";
  weigh_in.mass = {71.25, 0.16};
  weigh_in.foot_line = session::FootLine{
      {0.08, 0.11, 0.0}, {0.09, -0.15, 0.0}, 0.0052, session::FootLineSource::stances};
  const std::string file = playing.path("a7.toml");
  REQUIRE(weigh_in::write_weigh_in(file, weigh_in));
  const auto record = [&](std::vector<std::string> more) {
    std::vector<std::string> all{
        "record",     "--station", playing.station(), "--out", playing.path("s.h5"),
        "--weigh-in", file,        "--duration",      "1s",    "--json"};
    all.insert(all.end(), more.begin(), more.end());
    return run_command(all);
  };
  const CommandRun other = record({"--athlete", "a8"});
  CHECK(other.code == 1);
  CHECK(one_sentence(other.err));
  CHECK(other.err.find("'a7', not of 'a8'") != std::string::npos);
  CHECK(record({"--mass", "80kg"}).code == 1);
  CHECK_FALSE(std::filesystem::exists(playing.path("s.h5")));

  const CommandRun run = record({});
  CAPTURE(run.err);
  REQUIRE(run.code == 0);
  const auto reader = session::Reader::open(playing.path("s.h5"));
  REQUIRE(reader);
  CHECK(reader->session().athlete.id == "a7");
  CHECK(reader->session().athlete.mass.value == Approx(71.25).margin(1e-3));
  CHECK(reader->session().athlete.mass.u == Approx(0.16).margin(1e-3));
  REQUIRE(reader->session().foot_line);
  CHECK(reader->session().foot_line->source == session::FootLineSource::stances);
  CHECK(reader->session().foot_line->toe.y() == Approx(-0.15).margin(1e-5));
  CHECK(reader->session().foot_line->u == Approx(0.0052).margin(1e-5));
}

TEST_CASE("what record cannot do is said in one sentence and leaves no file", "[record]") {
  const support::Folder folder;
  const std::string out = (folder / "s.h5").string();
  std::ofstream(folder / "not.toml") << "name = \n";
  write_script(folder / "script.h5", empty_station(1.0));
  const std::vector<std::vector<std::string>> mistakes{
      {"--station", (folder / "none.toml").string(), "--mass", "80kg"},
      {"--station", (folder / "not.toml").string(), "--mass", "80kg"}};
  for (const auto& mistake : mistakes) {
    std::vector<std::string> all{"record", "--out", out};
    all.insert(all.end(), mistake.begin(), mistake.end());
    const CommandRun run = run_command(all);
    CAPTURE(run.err);
    CHECK(run.code == 1);
    CHECK(one_sentence(run.err));
    CHECK_FALSE(std::filesystem::exists(out));
  }
  const Playing playing(empty_station(20.0));
  const auto refuse = [&](std::vector<std::string> more, const std::string& word) {
    std::vector<std::string> all{"record", "--station", playing.station()};
    all.insert(all.end(), more.begin(), more.end());
    const CommandRun run = run_command(all);
    CAPTURE(run.err, word);
    CHECK(run.code == 1);
    CHECK(one_sentence(run.err));
    CHECK(run.err.find(word) != std::string::npos);
  };
  refuse({"--out", out}, "--mass");
  refuse({"--out", out, "--mass", "80"}, "unit");
  refuse({"--out", out, "--mass", "80kg", "--duration", "soon"}, "--duration");
  // What import refuses: nothing can put it right in a session that is made.
  refuse({"--out", out, "--mass", "850kg"}, "body mass");
  refuse({"--out", out, "--mass", "80kg", "--height", "18m"}, "height");
  refuse({"--out", out, "--mass", "80kg", "--born", "2190-01-01"}, "lies ahead");
  refuse({"--out", out, "--mass", "80kg", "--born", "2007-02-29"}, "not a date");
  refuse({"--out", out, "--mass", "80kg", "--temperature", "-270C"}, "air temperature");
  refuse({"--out", out, "--mass", "80kg", "--pressure", "1hPa"}, "air pressure");
  refuse({"--out", out, "--mass", "80kg", "--weigh-in", out}, "no such file");
  refuse({"--out", (folder / "none.h5").string(), "--continue"}, "none.h5");
  refuse({"--out", (folder / "nowhere/s.h5").string(), "--mass", "80kg"}, "nowhere");
  CHECK_FALSE(std::filesystem::exists(out));
  std::ofstream(folder / "s.h5") << "precious";
  refuse({"--out", out, "--mass", "80kg"}, "is there already");
  std::string kept;
  std::ifstream(folder / "s.h5") >> kept;
  CHECK(kept == "precious");
}

TEST_CASE("instruments played in one folder keep their ports from a second player", "[record]") {
  const Playing playing(empty_station(20.0));
  const std::string out = playing.path("taken.h5");
  write_script(playing.path("other.h5"), empty_station(1.0));
  const std::string folder = std::filesystem::path(playing.station()).parent_path().string();
  const auto port = std::filesystem::read_symlink(folder + "/radar");
  const CommandRun second =
      run_command({"simulate", "--devices", folder, "--play", playing.path("other.h5")});
  CAPTURE(second.err);
  CHECK(second.code == 1);
  CHECK(one_sentence(second.err));
  CHECK(second.err.find("being played") != std::string::npos);
  CHECK(std::filesystem::read_symlink(folder + "/radar") == port);
  const CommandRun run = run_command({"record", "--station", playing.station(), "--out", out,
                                      "--mass", "80kg", "--duration", "1s"});
  CAPTURE(run.err);
  CHECK(run.code == 0);
}

TEST_CASE("a recording whose terminal is closed ends as by Ctrl-C", "[record]") {
  const Playing playing(empty_station(20.0));
  const std::string out = playing.path("taken.h5");
  const pid_t child = run_apart(
      {"record", "--station", playing.station(), "--out", out, "--mass", "80kg", "--json"});
  for (int i = 0; i < 100; ++i) {
    std::this_thread::sleep_for(100ms);
    if (const auto reader = session::Reader::open(out); reader && reader->sample_count(0) > 0)
      break;
  }
  REQUIRE(kill(child, SIGHUP) == 0);
  int status = 0;
  REQUIRE(waitpid(child, &status, 0) == child);
  REQUIRE(WIFEXITED(status));
  CHECK(WEXITSTATUS(status) == 0);
  CHECK(session::Reader::open(out));
}

TEST_CASE("record says so when nothing came, and names the device that is not there", "[record]") {
  const Playing playing(empty_station(20.0));
  // The same station, but the ports are somewhere else.
  const support::Folder elsewhere;
  std::filesystem::copy_file(playing.station(), elsewhere / "station.toml");
  const CommandRun run =
      run_command({"record", "--station", (elsewhere / "station.toml").string(), "--out",
                   (elsewhere / "s.h5").string(), "--mass", "80kg", "--json", "--duration", "3s"});
  CAPTURE(run.err, run.out);
  CHECK(run.code == 1);
  CHECK(one_sentence(run.err));
  CHECK(run.err.find("no sample") != std::string::npos);
  const auto device = event_of(lines_of(run.out), "device", "back plate");
  CHECK(device["state"] == "waiting for the device");
}
