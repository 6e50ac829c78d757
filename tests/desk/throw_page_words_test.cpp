// SPDX-License-Identifier: GPL-3.0-or-later
// What the page Throw says and decides, without a widget.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>

#include "app/desk/capture/device_words.h"
#include "app/desk/capture/pitch_load.h"
#include "app/desk/capture/practice.h"
#include "app/desk/capture/recording_order.h"
#include "app/desk/capture/sweep_scale.h"
#include "app/desk/capture/throw_list.h"
#include "app/desk/capture/throw_tags.h"
#include "core/base/time_zone.h"
#include "core/model/day.h"
#include "core/session/file_lock.h"
#include "core/session/start.h"
#include "core/session/writer.h"
#include "support/folder.h"
#include "support/session_example.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

DeviceSight streaming_plate() {
  DeviceSight sight;
  sight.name = "back plate";
  sight.state = drivers::LinkState::streaming;
  sight.recorded_for = 10.0;
  return sight;
}

}  // namespace

TEST_CASE("a lamp says in words what is wrong and what to do", "[throw-page]") {
  CHECK(lamp_of(streaming_plate()).state == LampState::good);

  DeviceSight lost = streaming_plate();
  lost.missing = 12;
  CHECK(lamp_of(lost).state == LampState::waiting);
  CHECK(lamp_of(lost).words.contains(QStringLiteral("12 samples lost")));

  DeviceSight silent = streaming_plate();
  silent.state = drivers::LinkState::silent;
  CHECK(lamp_of(silent).state == LampState::trouble);
  CHECK(lamp_of(silent).words.contains(QStringLiteral("switched on")));

  DeviceSight unplugged = streaming_plate();
  unplugged.state = drivers::LinkState::lost;
  CHECK(lamp_of(unplugged).words.contains(QStringLiteral("Plug it in")));

  // A port that has not opened in time gives its reason.
  DeviceSight closed = streaming_plate();
  closed.state = drivers::LinkState::opening;
  closed.last_failure = "/dev/ttyUSB0: there is no such port";
  CHECK(lamp_of(closed).state == LampState::trouble);
  CHECK(lamp_of(closed).words.contains(QStringLiteral("/dev/ttyUSB0")));
  closed.recorded_for = 0.5;
  CHECK(lamp_of(closed).state == LampState::waiting);

  // A radar is silent between throws; a wrong pattern is not.
  DeviceSight radar = streaming_plate();
  radar.sampled = false;
  radar.state = drivers::LinkState::silent;
  CHECK(lamp_of(radar).state == LampState::good);
  radar.refused = 20;
  CHECK(lamp_of(radar).state == LampState::trouble);
  CHECK(lamp_of(radar).words.contains(QStringLiteral("baud")));
}

TEST_CASE("nobody is recorded without consent, mass and a station", "[throw-page]") {
  const support::Folder folder;
  const LabFolder lab{folder.path()};
  const std::string day = "2026-06-01";
  const auto refusal = [&](const RosterAthlete* athlete) {
    const auto order = recording_order(lab, athlete, day);
    return order ? std::string() : order.error().sentence();
  };
  CHECK(refusal(nullptr).find("choose an athlete") != std::string::npos);
  RosterAthlete athlete;
  athlete.id = "T1";
  athlete.born = "2010-01-01";
  CHECK(refusal(&athlete).find("consent") != std::string::npos);
  athlete.consent = day;
  CHECK(refusal(&athlete).find("guardian") != std::string::npos);
  athlete.guardian_consent = day;
  CHECK(refusal(&athlete).find("station file") != std::string::npos);
  std::ofstream(lab.station()) << "name = \"x\"\n";
  CHECK(refusal(&athlete).find("mass") != std::string::npos);
  athlete.mass = 60.0;
  CHECK(refusal(&athlete).empty());
}

TEST_CASE("a recording that was cut off is found, one that runs is not", "[throw-page]") {
  const support::Folder folder;
  const LabFolder lab{folder.path()};
  std::filesystem::create_directories(lab.sessions());
  const auto file = lab.sessions() / "2026-06-01-T1-1.h5";
  CHECK(unfinished_recordings(lab).empty());
  set_recording_mark(file);
  CHECK(unfinished_recordings(lab).empty());  // a mark without its session is nothing
  std::ofstream(file) << "samples";
  REQUIRE(unfinished_recordings(lab).size() == 1);
  CHECK(unfinished_recordings(lab)[0] == file);
  {
    const auto writing = session::FileLock::acquire(file);
    REQUIRE(writing);
    CHECK(unfinished_recordings(lab).empty());
  }
  clear_recording_mark(file);
  CHECK(unfinished_recordings(lab).empty());
  CHECK(std::filesystem::exists(file));
}

TEST_CASE("a miss is told by arm and glove side, whichever hand throws", "[throw-page]") {
  // Seen from the mound, facing home, a right-hander's arm side is on the right.
  CHECK(miss_text(9, session::Hand::right) == "high, arm side");
  CHECK(miss_text(9, session::Hand::left) == "high, glove side");
  CHECK(miss_text(4, session::Hand::right) == "glove side");
  CHECK(miss_text(4, session::Hand::left) == "arm side");
  CHECK(miss_text(2, session::Hand::left) == "low");
  CHECK(miss_text(5, session::Hand::right) == "on target");
}

TEST_CASE("a session counts on the day on which it began at its own place", "[throw-page]") {
  const support::Folder folder;
  const LabFolder lab{folder.path(), "Asia/Kathmandu"};
  std::filesystem::create_directories(lab.sessions());
  const auto put = [&](const char* name, WallTime started, const char* zone) {
    session::Session session = support::example_session();
    session.athlete.id = "A1";
    session::set_start(session, started, zone);
    auto writer = session::Writer::create(lab.sessions() / name, session);
    REQUIRE(writer);
    REQUIRE(writer->close());
  };
  const auto now = wall_now();
  put("now.h5", now, "Asia/Kathmandu");
  put("another.h5", now - std::chrono::hours(25), "Asia/Kathmandu");
  // Where it is another day than in the lab, one begun now is of that other day: 26 h lie between
  // these two, so at least one of them has another day than Kathmandu.
  put("east.h5", now, "Pacific/Kiritimati");
  put("west.h5", now, "Etc/GMT+12");
  int of_today = 1;
  for (const char* zone : {"Pacific/Kiritimati", "Etc/GMT+12"})
    of_today += day_in(now, zone) == today(lab) ? 1 : 0;
  CHECK(of_today < 3);
  CHECK(count_today(lab, "A1", {}).uncounted == of_today);
  CHECK(count_today(lab, "A1", lab.sessions() / "now.h5").uncounted == of_today - 1);
  CHECK(count_today(lab, "A2", {}).uncounted == 0);
}

TEST_CASE("throws are counted against the limit of the age", "[throw-page]") {
  // 95 pitches a day at 13 and 14: the table of core/safety, which names its source.
  const auto& table = safety::common_pitch_counts();
  PitchLoad load;
  load.age = 14;
  load.earlier = 40;
  load.now = 20;
  LoadWords said = load_words(load, table);
  CHECK_FALSE(said.caution);
  CHECK(said.words.contains(QStringLiteral("60 throws")));
  CHECK(said.words.contains(QStringLiteral("95")));
  CHECK(said.about.contains(QStringLiteral("games")));  // what the limit does not count
  load.now = 46;                                        // 86 of 95 is more than 90 %
  CHECK(load_words(load, table).caution);
  load.now = 55;
  said = load_words(load, table);
  CHECK(said.caution);
  CHECK(said.words.contains(QStringLiteral("Stop")));
  load.age = 40;
  CHECK_FALSE(load_words(load, table).caution);
  load.age.reset();
  CHECK(load_words(load, table).words.contains(QStringLiteral("date of birth")));
  load.earlier = 0;
  load.now = load.uncounted = 1;
  CHECK(load_words(load, table)
            .words.startsWith(QStringLiteral("1 throw today. 1 session is not analysed yet")));
}

TEST_CASE("a sweep begins anew on the left, and a scale only grows", "[throw-page]") {
  const SweepTime time{8.0, 0.35};
  CHECK(time.x(0.0) == Approx(0.0));
  CHECK(time.x(6.0) == Approx(0.75));
  CHECK(time.x(8.5) == Approx(0.0625));
  ForceScale scale{-100.0, 100.0, 50.0};
  CHECK_FALSE(scale.take(80.0));
  CHECK(scale.take(130.0));
  CHECK(scale.high >= 130.0);
  CHECK(scale.low == -100.0);
  CHECK(scale.y(scale.high) == Approx(0.0));
  CHECK(scale.y(scale.low) == Approx(1.0));
  CHECK_FALSE(scale.take(std::nan("")));
  scale.take(1e6);
  CHECK(scale.lines().size() < 12);
  // A weight that is no round number, as 0.1 is none to a computer: the line of nought has no rest.
  ForceScale weights{-1.1 * 727.3, 0.9 * 727.3, 0.1 * 727.3};
  weights.take(-1500.0);
  const auto lines = weights.lines();
  CHECK(std::count(lines.begin(), lines.end(), 0.0) == 1);
  for (const double line : lines)
    CHECK((line >= weights.low - 1e-6 && line <= weights.high + 1e-6));
}

TEST_CASE("the list shows units of choice and no worthless digit", "[throw-page]") {
  session::ResultThrow thrown;
  thrown.number = 3;
  thrown.contact = session_time(75.2);
  thrown.quantities = {{"ball_speed", {40.2336, 0.2}, "m/s"},
                       {"braking_impulse", {57.46, 1.8}, "N s"}};
  thrown.flags = {{"no_radar", "no radar reading belongs to this throw"}};
  ThrowList list;
  Preferences preferences;
  preferences.speed = SpeedUnit::mile_per_hour;
  list.set_choices(preferences, 80.0);
  list.add(thrown);
  const auto text = [&](int column, int role = Qt::DisplayRole) {
    return list.data(list.index(0, column), role).toString();
  };
  // 40.2336 m/s is 90 mph exactly (0.44704 m/s each).
  CHECK(text(ThrowList::speed) == QStringLiteral("90.0 mph"));
  CHECK(text(ThrowList::speed, Qt::ToolTipRole) == QStringLiteral("90.0 ± 0.4 mph"));
  CHECK(text(ThrowList::braking) == QStringLiteral("57 N s"));
  CHECK(text(ThrowList::time) == QStringLiteral("1:15"));
  CHECK(text(ThrowList::heel_toe) == QStringLiteral("not known"));
  CHECK(text(ThrowList::remarks) == QStringLiteral("no radar"));
  list.set_edits({tag_edit(75.21, pitch_tag, "slider"), tag_edit(75.2, cue_tag, "heel"),
                  tag_edit(90.0, pitch_tag, "cutter")});
  CHECK(text(ThrowList::tags) == QStringLiteral("slider; cue: heel"));
  list.set_edits({exclude_edit(75.2, "warm-up throw")});
  CHECK(text(ThrowList::tags) == QStringLiteral("left out: warm-up throw"));
}

TEST_CASE("practice lies beside the lab and leads back to it", "[throw-page]") {
  const std::filesystem::path lab = "/somewhere/north lab";
  const auto practice = Practice::practice_of(lab);
  CHECK(practice.parent_path() == lab.parent_path());
  CHECK(is_practice(practice));
  CHECK_FALSE(is_practice(lab));
  CHECK(Practice::practice_of(practice) == practice);
  CHECK(Practice::lab_of(practice) == lab);
}
