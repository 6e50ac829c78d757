// SPDX-License-Identifier: GPL-3.0-or-later
// The expected values follow from the words of docs/files.md, "Fields of a throw".
#include "core/session/throw_fields.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <string>

using namespace moundwork;
using session::checked_text;
using session::ThrowField;
using Tags = std::map<std::string, std::string>;

namespace {

std::string kept(ThrowField field, const std::string& text) {
  const auto checked = checked_text(field, text, "cell");
  return checked ? *checked : "refused";
}

}  // namespace

TEST_CASE("an effort needs its scale and ends at the greatest", "[fields]") {
  for (const char* good : {"90%", "9/10", " 90 % ", "100%", "4 / 5", "92.5%"})
    CHECK(kept(ThrowField::effort, good) != "refused");
  for (const char* bad : {"90", "0.9", "101%", "11/10", "0%", "-5%", "9/0", "hard", "%", "9/",
                          "/10", "nan%", "9/10/10", "1e999%"})
    CHECK(kept(ThrowField::effort, bad) == "refused");
  const auto bare = checked_text(ThrowField::effort, "90", "--text 90");
  CHECK(bare.error().sentence().find("90% or 9/10") != std::string::npos);
  CHECK(session::fields_of(Tags{{"effort", "90%"}}).effort == Approx(0.9));
  CHECK(session::fields_of(Tags{{"effort", "4 / 5"}}).effort == Approx(0.8));
}

TEST_CASE("a ball has a mass with its unit, within what is thrown", "[fields]") {
  for (const char* good : {"145g", "5.25oz", "0.2 kg", "2lb"})
    CHECK(kept(ThrowField::ball, good) == good);
  for (const char* bad : {"145", "145mm", "20g", "3kg", "heavy", "-145g"})
    CHECK(kept(ThrowField::ball, bad) == "refused");
  // 1 oz is 28.349523125 g exactly (agreement of 1959).
  CHECK(session::fields_of(Tags{{"ball", "7oz"}}).ball_mass == Approx(7.0 * 0.028349523125));
  CHECK(session::fields_of({}).ball_mass == 0.145);
}

TEST_CASE("words of a field are taken however they are typed", "[fields]") {
  CHECK(kept(ThrowField::delivery, "Windup") == "wind-up");
  CHECK(kept(ThrowField::delivery, "wind up") == "wind-up");
  CHECK(kept(ThrowField::delivery, "STRETCH") == "stretch");
  CHECK(kept(ThrowField::delivery, "slide step") == "refused");
  CHECK(kept(ThrowField::warm_up, "Yes") == "yes");
  CHECK(kept(ThrowField::warm_up, "no") == "no");
  CHECK(kept(ThrowField::warm_up, "maybe") == "refused");
  CHECK(kept(ThrowField::pitch_type, "Changeup") == "change-up");
  CHECK(kept(ThrowField::pitch_type, "Fastball") == "fastball");
  CHECK(kept(ThrowField::pitch_type, " two-seam ") == "two-seam");
  CHECK(kept(ThrowField::pitch_type, std::string(40, 'a')) == std::string(40, 'a'));
  CHECK(kept(ThrowField::pitch_type, std::string(41, 'a')) == "refused");
  CHECK(kept(ThrowField::pitch_type, "fast\nball") == "refused");
  CHECK(kept(ThrowField::block, "2") == "2");
  CHECK(kept(ThrowField::block, "  ") == "refused");
}

TEST_CASE("tags of earlier versions mean the field they name", "[fields]") {
  CHECK(session::find_throw_field("Pitch type") == ThrowField::pitch_type);
  CHECK(session::find_throw_field("warm-up") == ThrowField::warm_up);
  CHECK_FALSE(session::find_throw_field("cue"));
  const auto old = session::fields_of(Tags{{"Pitch type", "Fastball"},
                                           {"block", std::string(60, 'b')},
                                           {"effort", "90"},
                                           {"ball", "red"},
                                           {"warm up", "a few"}});
  CHECK(old.pitch_type == "fastball");
  CHECK(old.block == std::string(60, 'b'));
  CHECK(std::isnan(old.effort));
  CHECK(old.ball_mass == 0.145);
  CHECK_FALSE(old.warm_up);
  CHECK(session::fields_of(Tags{{"Pitch type", "slider"}, {"pitch_type", "cutter"}}).pitch_type ==
        "cutter");
}

TEST_CASE("a warm-up and a throw taken out do not count", "[fields]") {
  session::EditState state;
  CHECK(session::counts(state));
  state.tags["warm_up"] = "no";
  CHECK(session::counts(state));
  state.tags["warm_up"] = "yes";
  CHECK_FALSE(session::counts(state));
  session::EditState excluded;
  excluded.excluded.emplace();
  CHECK_FALSE(session::counts(excluded));
}

TEST_CASE("results do not know of a ball that was told later", "[fields]") {
  session::ResultSet results;
  session::Edit ball;
  ball.throw_contact = 20.0;
  ball.action = session::Action::tag;
  ball.target = "ball";
  ball.text = "200g";
  CHECK_FALSE(session::facts_in(results, std::vector{ball}));
  results.edits_known = 1;
  CHECK(session::facts_in(results, std::vector{ball}));
  ball.target = "cue";
  results.edits_known = 0;
  CHECK(session::facts_in(results, std::vector{ball}));
}
