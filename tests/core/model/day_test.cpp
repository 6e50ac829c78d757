// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/day.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>

#include "core/definitions/catalogue.h"
#include "core/session/reader.h"

using namespace moundwork;
using namespace moundwork::model;
namespace fs = std::filesystem;

namespace {

// A folder of its own that goes when the test does.
class Folder {
 public:
  explicit Folder(const std::string& name)
      : path_(fs::temp_directory_path() / ("moundwork-day-test-" + name)) {
    fs::remove_all(path_);
    fs::create_directories(path_);
  }
  ~Folder() { fs::remove_all(path_); }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  [[nodiscard]] const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

nlohmann::json read_json(const fs::path& path) {
  std::ifstream file(path);
  return nlohmann::json::parse(file);
}

std::string read_text(const fs::path& path) {
  std::ifstream file(path);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

}  // namespace

TEST_CASE("a simulated session can be read and its truth lies beside it") {
  const Folder folder("session");
  SessionSettings settings;
  settings.seed = 5;
  const auto written = simulate_session(folder.path() / "one.h5", settings);
  REQUIRE(written);
  CHECK(written->throws == 1);
  const auto reader = session::Reader::open(written->session);
  REQUIRE(reader);
  CHECK(reader->session().plates.size() == 2);
  CHECK(reader->session().origin == "simulation");
  REQUIRE(reader->session().foot_line);
  // The back plate's samples cover the session at its rate.
  CHECK(static_cast<double>(reader->sample_count(0)) ==
        Approx(1000.0 * written->duration).margin(100.0));

  const auto truth = read_json(written->truth);
  CHECK(truth.at("seed") == 5);
  REQUIRE(truth.at("throws").size() == 1);
  const auto& one = truth.at("throws").at(0);
  for (std::size_t i = 0; i < definitions::event_count; ++i)
    CHECK(one.at("events").contains(definitions::entry(static_cast<definitions::Event>(i)).key));
  for (std::size_t i = 0; i < definitions::quantity_count; ++i)
    CHECK(one.at("quantities")
              .contains(definitions::entry(static_cast<definitions::Quantity>(i)).key));
  CHECK(one.at("events").at("lead_contact") < one.at("events").at("release"));
  CHECK(truth.at("station_errors").at("plates").size() == 2);
}

TEST_CASE("one seed makes one session, byte for byte of its samples") {
  const Folder folder("seed");
  SessionSettings settings;
  settings.station.rate = 500.0;
  const auto one = simulate_session(folder.path() / "one.h5", settings);
  const auto two = simulate_session(folder.path() / "two.h5", settings);
  REQUIRE(one);
  REQUIRE(two);
  CHECK(read_text(one->truth) == read_text(two->truth));
  const auto a = session::Reader::open(one->session);
  const auto b = session::Reader::open(two->session);
  REQUIRE(a);
  REQUIRE(b);
  for (int device = 0; device < 3; ++device) {
    const auto first = a->read_raw(device, 0, a->sample_count(device));
    const auto second = b->read_raw(device, 0, b->sample_count(device));
    REQUIRE(first);
    REQUIRE(second);
    CHECK(*first == *second);
  }
}

TEST_CASE("a day writes a session and its truth for every athlete, and the sheets") {
  const Folder folder("day");
  DaySettings settings;
  settings.athletes = 3;
  settings.performance.pitches = 3;
  settings.station.rate = 500.0;
  double share = 0.0;
  bool forward = true;
  const auto day = simulate_day(settings, folder.path() / "out", [&](double now) {
    forward = forward && now >= share;
    share = now;
    return true;
  });
  REQUIRE(day);
  REQUIRE(day->sessions.size() == 3);
  CHECK(forward);
  CHECK(share > 0.9);
  for (const auto& one : day->sessions) {
    CHECK(one.throws == 3);
    CHECK(fs::exists(one.session));
    const auto truth = read_json(one.truth);
    CHECK(truth.at("throws").size() == 3);
    CHECK_FALSE(truth.at("other_activities").empty());
    // The middle third of the throws is cued.
    CHECK(truth.at("throws").at(1).at("cue") == "heel");
    CHECK(truth.at("throws").at(0).at("cue") == "");
  }
  const std::string roster = read_text(folder.path() / "out" / "roster.csv");
  CHECK(std::count(roster.begin(), roster.end(), '\n') == 4);
  const std::string log = read_text(folder.path() / "out" / "log.csv");
  CHECK(std::count(log.begin(), log.end(), '\n') == 10);
}

TEST_CASE("a session of a wanted duration is filled and holds its throws") {
  const Folder folder("duration");
  SessionSettings settings;
  settings.station.rate = 500.0;
  settings.performance = {.pitches = 3, .duration = 300.0};
  const auto written = simulate_session(folder.path() / "long.h5", settings);
  REQUIRE(written);
  CHECK(written->duration == Approx(300.0).margin(10.0));
  const auto truth = read_json(written->truth);
  CHECK(truth.at("throws").size() == 3);
  CHECK(truth.at("throws").at(2).at("events").at("release") > 200.0);
}

TEST_CASE("settings that cannot be simulated are refused and leave no file") {
  const Folder folder("refused");
  SessionSettings settings;
  settings.station.rate = 100.0;
  const auto slow = simulate_session(folder.path() / "slow.h5", settings);
  REQUIRE_FALSE(slow);
  CHECK(slow.error().sentence().find("100") != std::string::npos);
  settings.station.rate = 1000.0;
  settings.performance.duration = -1.0;
  CHECK_FALSE(simulate_session(folder.path() / "negative.h5", settings));
  settings.performance.duration = 0.0;
  settings.compression = 12;
  CHECK_FALSE(simulate_session(folder.path() / "packed.h5", settings));
  DaySettings day;
  day.athletes = 0;
  CHECK_FALSE(simulate_day(day, folder.path() / "nobody"));
  CHECK(fs::is_empty(folder.path()));
  CHECK_FALSE(simulate_session(folder.path() / "no-folder" / "one.h5", SessionSettings{}));
}

TEST_CASE("a session on several plates a foot states and tells the truth of each") {
  const Folder folder("plates");
  SessionSettings settings;
  settings.station.back_plates.plates = 2;
  settings.station.lead_plates = {2, {1000.0, 500.0}};
  const auto written = simulate_session(folder.path() / "four.h5", settings);
  REQUIRE(written);
  const auto reader = session::Reader::open(written->session);
  REQUIRE(reader);
  CHECK(reader->session().plates.size() == 4);
  const auto errors = read_json(written->truth).at("station_errors");
  CHECK(errors.at("plates").size() == 4);
  CHECK(errors.at("clocks").size() == reader->session().devices.size());
  // The second lead plate's device at half the rate of the first's.
  CHECK(static_cast<double>(reader->sample_count(2)) ==
        Approx(0.5 * static_cast<double>(reader->sample_count(1))).epsilon(0.01));
}

TEST_CASE("plates that cannot be simulated are refused before anything is written") {
  const Folder folder("refused");
  const auto path = folder.path() / "one.h5";
  const auto refused = [&](const PlateRow& row) {
    SessionSettings settings;
    settings.station.lead_plates = row;
    const auto written = simulate_session(path, settings);
    REQUIRE_FALSE(written);
    CHECK_FALSE(fs::exists(path));
    return written.error().sentence();
  };
  CHECK(refused({0, {}}).find("1 to 4 can be simulated") != std::string::npos);
  CHECK(refused({2, {1000.0}}).find("was given 1") != std::string::npos);
  CHECK(refused({2, {1000.0, 100.0}}).find("100 Hz") != std::string::npos);
}
