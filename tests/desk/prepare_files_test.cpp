// SPDX-License-Identifier: GPL-3.0-or-later
#include <catch2/catch.hpp>
#include <fstream>

#include "app/desk/plot/foot_picture.h"
#include "app/desk/plot/foot_shape.h"
#include "app/desk/prepare/check_files.h"
#include "app/desk/prepare/station_check.h"
#include "app/desk/prepare/weigh_in_steps.h"
#include "app/desk/state/weigh_ins.h"
#include "core/base/time_zone.h"
#include "core/base/units.h"
#include "core/base/wall_time.h"
#include "core/intake/usual_uncertainty.h"
#include "drivers/check/sheet_file.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

weigh_in::WeighIn weighed(const std::string& athlete, const std::string& made, double mass,
                          bool foot) {
  weigh_in::WeighIn made_in{athlete, "here", made, {mass, 0.2}, {}};
  if (foot)
    made_in.foot_line = session::FootLine{
        {0.06, 0.1, 0.0}, {0.06, -0.1, 0.0}, 0.005, session::FootLineSource::stances};
  return made_in;
}

/// Somebody on a plate for 4 s, at 200 samples a second.
weigh_in::Stand stand(session::PlateRole plate, double force, double x, double y) {
  weigh_in::Stand one;
  one.plate = plate;
  one.rate = 200.0;
  one.vertical = Eigen::ArrayXd::Constant(800, force);
  one.cop.resize(800, 3);
  one.cop.col(0) = x;
  one.cop.col(1) = y;
  one.cop.col(2) = 0.0;
  one.gain_u = 0.002;
  one.cop_u = 0.0015;
  one.zero_u = 0.5;
  return one;
}

}  // namespace

TEST_CASE("the last weigh-in of the day counts, and none is written over", "[prepare]") {
  const support::Folder folder;
  const LabFolder lab{folder.path()};
  RosterAthlete athlete;
  athlete.id = "A/1 ü";  // an identity that is no file name
  athlete.mass = 80.0;
  CHECK_FALSE(foot_line_for(lab, athlete.id));
  CHECK(mass_for(lab, athlete).value == 80.0);
  CHECK(mass_for(lab, athlete).u == moundwork::intake::usual_u::mass_of_old);
  REQUIRE(keep_weigh_in(lab, weighed(athlete.id, "2026-04-18T09:00:00Z", 81.0, true)));
  REQUIRE(keep_weigh_in(lab, weighed(athlete.id, "2026-04-18T10:00:00Z", 82.0, true)));
  REQUIRE(keep_weigh_in(lab, weighed("another", "2026-04-18T11:00:00Z", 60.0, true)));
  CHECK(mass_for(lab, athlete, "2026-04-18").value == Approx(82.0));
  CHECK(mass_for(lab, athlete, "2026-04-18").u == Approx(0.2));
  REQUIRE(foot_line_for(lab, athlete.id, "2026-04-18T23:00:00Z"));
  CHECK(foot_line_for(lab, athlete.id, "2026-04-18")->toe.y() == Approx(-0.1));
  // The day after the foot lies elsewhere.
  CHECK_FALSE(foot_line_for(lab, athlete.id, "2026-04-19"));
  CHECK(mass_for(lab, athlete, "2026-04-19").value == 80.0);
  std::ofstream(weigh_ins_folder(lab) / "2026-04-18-broken-1.toml") << "mass = ";
  CHECK(last_weigh_in(lab, athlete.id, "2026-04-18"));
  int files = 0;
  for (const auto& file : std::filesystem::directory_iterator(weigh_ins_folder(lab)))
    files += file.is_regular_file() ? 1 : 0;
  CHECK(files == 4);
  // The last is dropped, and the one before it counts again.
  const auto dropped = drop_last_weigh_in(lab, athlete.id, "2026-04-18");
  REQUIRE(dropped);
  CHECK(dropped->mass.value == Approx(82.0));
  CHECK(mass_for(lab, athlete, "2026-04-18").value == Approx(81.0));
  REQUIRE(drop_last_weigh_in(lab, athlete.id, "2026-04-18"));
  CHECK_FALSE(drop_last_weigh_in(lab, athlete.id, "2026-04-18"));
  CHECK(mass_for(lab, athlete, "2026-04-18").value == 80.0);
  CHECK(last_weigh_in(lab, "another", "2026-04-18"));
}

// In Los Angeles on 4 July clocks are 7 h behind UTC: there the day ends at 07:00 UTC.
TEST_CASE("a weigh-in holds all afternoon, though it is another day in UTC", "[prepare]") {
  const support::Folder folder;
  const LabFolder lab{folder.path(), "America/Los_Angeles"};
  RosterAthlete athlete;
  athlete.id = "A1";
  athlete.mass = 76.0;
  const auto before = from_iso_text("2026-07-04T23:55:00Z");  // 16:55 there
  const auto after = from_iso_text("2026-07-05T00:02:00Z");   // 17:02
  const auto kept = keep_weigh_in(lab, weighed("A1", iso_text(*before), 80.0, true));
  REQUIRE(kept);
  CHECK(kept->filename() == "2026-07-04-A1-1.toml");
  const std::string day = day_in(*after, zone_of(lab));
  CHECK(mass_for(lab, athlete, day).value == Approx(80.0));
  CHECK(foot_line_for(lab, "A1", day));
  // One of that evening belongs to the same day, and to no other.
  REQUIRE(keep_weigh_in(lab, weighed("A1", "2026-07-05T02:30:00Z", 81.0, true)));
  CHECK(mass_for(lab, athlete, "2026-07-04").value == Approx(81.0));
  CHECK(mass_for(lab, athlete, "2026-07-05").value == Approx(76.0));
}

TEST_CASE("a weigh-in that version 0.1 named by the day in UTC is found on its own day",
          "[prepare]") {
  const support::Folder folder;
  const LabFolder lab{folder.path(), "America/Los_Angeles"};
  std::filesystem::create_directories(weigh_ins_folder(lab));
  std::ofstream(weigh_ins_folder(lab) / "2026-07-05-A1-1.toml")
      << "athlete = \"A1\"\nstation = \"here\"\nmade = \"2026-07-05T00:10:00.123Z\"\n"
         "mass = \"80.0 kg\"\nmass_u = \"0.1 kg\"\n";
  CHECK(last_weigh_in(lab, "A1", "2026-07-04"));
  CHECK_FALSE(last_weigh_in(lab, "A1", "2026-07-05"));
}

TEST_CASE("what was weighed a moment ago holds now, whatever the clock", "[prepare]") {
  const support::Folder folder;
  for (const char* zone : {"America/Los_Angeles", "Asia/Kathmandu", "Europe/Paris", ""}) {
    const LabFolder lab{folder / ("lab" + std::string(zone).substr(0, 2)), zone};
    std::filesystem::create_directories(lab.root);
    RosterAthlete athlete;
    athlete.id = "A1";
    REQUIRE(keep_weigh_in(lab, weighed("A1", iso_now(), 80.0, true)));
    CHECK(mass_for(lab, athlete).value == Approx(80.0));
    CHECK(foot_line_for(lab, "A1"));
  }
}

TEST_CASE("window and command line keep one sheet of a day", "[prepare]") {
  const support::Folder folder;
  const LabFolder lab{folder.path(), "America/Los_Angeles"};
  const auto made = from_iso_text("2026-07-05T02:30:00Z").value();
  const drivers::CheckLine line{"zero", "back plate, force z", "N", 0.4, 0.0, 100.0};
  std::filesystem::create_directories(lab.checks());
  REQUIRE(keep_sheet(lab, {line}, made));
  const auto sheet = lab.checks() / "checks-2026-07-04.jsonl";
  CHECK(std::filesystem::exists(sheet));
  CHECK(drivers::sheet_of_day(lab.station().parent_path(), made, "America/Los_Angeles") == sheet);
  // A station file outside a lab has its sheet beside it.
  CHECK(drivers::sheet_of_day(folder / "elsewhere", made, "Asia/Kathmandu") ==
        folder / "elsewhere/checks-2026-07-05.jsonl");
}

TEST_CASE("a weigh-in goes step by step and says why it stays", "[prepare]") {
  WeighInSteps steps(session::Hand::right);
  REQUIRE(steps.take({}));
  REQUIRE(steps.step() == WeighInStep::stand);
  CHECK_FALSE(steps.take({stand(session::PlateRole::back, 3.0, 0.0, 0.0)}));
  CHECK(steps.step() == WeighInStep::stand);
  REQUIRE(steps.take({stand(session::PlateRole::back, 400.0, 0.1, 0.0),
                      stand(session::PlateRole::lead, 380.0, 1.6, 0.0)}));
  CHECK(steps.mass().value == Approx(780.0 / standard_gravity));
  // No back plate, no stance; the mass alone can still be kept.
  CHECK_FALSE(steps.take({stand(session::PlateRole::lead, 780.0, 1.6, 0.0)}));
  REQUIRE(steps.take({stand(session::PlateRole::back, 700.0, 0.06, 0.09)}));
  // The same place again is no toe.
  CHECK_FALSE(steps.take({stand(session::PlateRole::back, 700.0, 0.06, 0.09)}));
  CHECK(steps.step() == WeighInStep::toe);
  REQUIRE(steps.take({stand(session::PlateRole::back, 700.0, 0.06, -0.10)}));
  REQUIRE(steps.step() == WeighInStep::done);
  REQUIRE(steps.foot_line());
  CHECK(steps.foot_line()->heel.y() == Approx(0.09));
  CHECK(steps.foot_line()->toe.y() == Approx(-0.10));
  steps.back();
  CHECK(steps.step() == WeighInStep::toe);
  CHECK_FALSE(steps.foot_line());
  steps.back();
  steps.back();
  CHECK_FALSE(steps.mass().known());
  CHECK(steps.step() == WeighInStep::stand);
}

TEST_CASE("a left-hander's toes lie to the first-base side", "[prepare]") {
  WeighInSteps steps(session::Hand::left);
  REQUIRE(steps.take({}));
  REQUIRE(steps.take({stand(session::PlateRole::back, 780.0, 0.1, 0.0)}));
  REQUIRE(steps.take({stand(session::PlateRole::back, 700.0, 0.06, -0.09)}));
  REQUIRE(steps.take({stand(session::PlateRole::back, 700.0, 0.06, 0.10)}));
  const auto& line = *steps.foot_line();
  CHECK(along_foot(line, {0.06, -0.09}) == Approx(0.0).margin(1e-9));
  CHECK(along_foot(line, {0.06, 0.005}) == Approx(50.0));
  // The sole's inner side faces home for either hand: more of it lies toward home at the ball.
  for (const auto hand : {session::Hand::left, session::Hand::right}) {
    const session::FootLine foot = customary_foot(hand, 0.28);
    const QRectF box = sole_outline(foot).boundingRect();
    CHECK(box.height() == Approx(0.28));
    CHECK(box.right() - foot.heel.x() > foot.heel.x() - box.left());
  }
}

TEST_CASE("the foot's picture says what it shows", "[prepare]") {
  FootScene scene;
  CHECK(pressure_words(scene) == QStringLiteral("no pressure"));
  scene.foot = session::FootLine{{0.0, 0.1, 0.0}, {0.0, -0.1, 0.0}, 0.0, {}};
  scene.now = QPointF(0.01, -0.024);
  // (0.1 + 0.024) / 0.2 = 62 % (definition of heel-toe position).
  CHECK(pressure_words(scene) == QStringLiteral("62 % from heel to toe"));
}

TEST_CASE("of each check the last result is shown, of the weight each point's", "[prepare]") {
  const support::Folder folder;
  const LabFolder lab{folder.path()};
  std::filesystem::create_directories(lab.checks());
  using drivers::CheckLine;
  const CheckLine good{"zero", "back plate, force z", "N", 0.4, 0.0, 100.0};
  const CheckLine bad{"zero", "back plate, force z", "N", 300.0, 0.0, 100.0};
  const auto point = [](const char* where, double found) {
    return CheckLine{"weight", where, "m", found, 0.0, 0.005};
  };
  REQUIRE(keep_sheet(lab, {bad}, from_iso_text("2026-04-17T08:00:00Z").value()));
  REQUIRE(keep_sheet(lab, {point("back plate, centre", 0.001)},
                     from_iso_text("2026-04-17T09:00:00Z").value()));
  REQUIRE(keep_sheet(lab, {point("back plate, quadrant 1", 0.002)},
                     from_iso_text("2026-04-17T09:05:00Z").value()));
  REQUIRE(keep_sheet(lab, {good}, from_iso_text("2026-04-18T08:00:00Z").value()));
  // As the command line leaves it, beside the station file.
  std::ofstream(folder / "checks-2026-04-18.jsonl")
      << drivers::to_json({point("back plate, centre", 0.009)}, "2026-04-18T09:00:00Z")
      << "\n{\"ma";
  const auto kept = last_results(lab);
  REQUIRE(kept.size() == 3);
  const auto found = [&](const std::string& item) {
    for (const KeptCheckLine& line : kept)
      if (line.line.item == item) return line.line.found;
    return std::nan("");
  };
  CHECK(found("back plate, force z") == Approx(0.4));
  CHECK(found("back plate, centre") == Approx(0.009));
  CHECK(found("back plate, quadrant 1") == Approx(0.002));
}

TEST_CASE("check results are told in units one can picture", "[prepare]") {
  const drivers::CheckLine place{"weight", "", "m", 0.0012, 0.0, 0.005};
  CHECK(found_words(place) == QStringLiteral("1.2 mm"));
  CHECK(wanted_words(place) == QStringLiteral("at most 5.0 mm"));
  const drivers::CheckLine lost{"rates", "", "", 0.0, 0.0, 0.0};
  CHECK(found_words(lost) == QStringLiteral("0"));
  CHECK(wanted_words(lost) == QStringLiteral("none"));
  const drivers::CheckLine rate{"rates", "", "Hz", 1000.02, 1000.0, 0.3};
  CHECK(found_words(rate) == QStringLiteral("1000.02 Hz"));
  CHECK(wanted_words(rate) == QStringLiteral("1000.00 ± 0.30 Hz"));
}
