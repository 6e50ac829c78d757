// SPDX-License-Identifier: GPL-3.0-or-later
// A person's changes as typed, and what the next analysis makes of them.
#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <fstream>
#include <nlohmann/json.hpp>

#include "app/support/made_throw.h"
#include "app/support/run_command.h"
#include "core/base/wall_time.h"
#include "core/session/edit_list.h"
#include "core/session/results.h"
#include "core/session/retest.h"
#include "support/folder.h"

namespace {

using moundwork::support::Folder;
using moundwork::test::one_sentence;
using moundwork::test::run_command;
using nlohmann::json;
namespace made = moundwork::test::made_throw;

// An imported and analysed session of one throw with release at 2.63 s.
std::string analysed_session(const Folder& folder) {
  made::write(folder / "made.c3d");
  const std::string session = folder / "made.h5";
  REQUIRE(run_command({"import", "--c3d", folder / "made.c3d", "--throws", "right", "--mass",
                       "80kg", "--release", "2.63s", "--out", session})
              .code == 0);
  REQUIRE(run_command({"analyse", session}).code == 0);
  return session;
}

json only_throw(const std::string& session) {
  const auto run = run_command({"analyse", session, "--json"});
  REQUIRE(run.code == 0);
  return json::parse(run.out)["throws"].at(0);
}

int edit(std::vector<std::string> arguments) {
  arguments.insert(arguments.begin(), "edit");
  return run_command(arguments).code;
}

}  // namespace

TEST_CASE("edit: a moved release gives the impulse to its new time", "[app]") {
  const Folder folder;
  const std::string session = analysed_session(folder);
  REQUIRE(edit({"move", session, "--throw", "1", "--event", "release", "--to", "2650ms", "--u",
                "2ms", "--who", "coach", "--why", "video"}) == 0);
  const json thrown = only_throw(session);
  CHECK(thrown["events"]["release"]["value"].get<double>() == Approx(2.65).margin(1e-12));
  CHECK(thrown["events"]["release"]["u"].get<double>() == Approx(0.002));
  // Closed form of support/made_throw.
  CHECK(thrown["quantities"]["braking_impulse"]["value"].get<double>() ==
        Approx(made::braking_impulse(made::lead_contact(0.05), 2.65)).epsilon(0.01));
  const json& flags = thrown["flags"];
  CHECK(std::count(flags.begin(), flags.end(), "moved_by_hand") == 1);

  REQUIRE(edit({"undo", session}) == 0);
  CHECK(only_throw(session)["events"]["release"]["value"].get<double>() ==
        Approx(2.63).margin(1e-12));
  REQUIRE(edit({"redo", session}) == 0);
  REQUIRE(edit({"reset", session, "--throw", "1", "--event", "release"}) == 0);
  CHECK(only_throw(session)["events"]["release"]["value"].get<double>() ==
        Approx(2.63).margin(1e-12));
  const auto list = run_command({"edit", "list", session, "--json"});
  const json rows = json::parse(list.out);
  REQUIRE(rows.size() == 4);
  CHECK(rows[0]["stands"] == true);
  CHECK(rows[1]["stands"] == false);
  CHECK(rows[1]["action"] == "undo");
  const auto told = run_command({"edit", "include", session, "--throw", "1", "--json"});
  CHECK(json::parse(told.out)["edit"] == 4);
}

TEST_CASE("edit: the list gives the hour of the session's own place", "[app]") {
  const Folder folder;
  std::ofstream(folder / "lab.toml") << "zone = \"Asia/Kathmandu\"\n";
  const std::string session = analysed_session(folder);
  REQUIRE(edit({"exclude", session, "--throw", "1", "--who", "coach", "--why", "slipped"}) == 0);
  const std::string when =
      json::parse(run_command({"edit", "list", session, "--json"}).out).at(0)["when"];
  const auto made = moundwork::from_iso_text(when);
  REQUIRE(made);
  // 5:45 ahead of UTC all the year: the IANA time zone database.
  const std::string there =
      moundwork::local_text(*made, std::chrono::hours(5) + std::chrono::minutes(45));
  CHECK(run_command({"edit", "list", session}).out.find(there) != std::string::npos);
}

TEST_CASE("edit: a release put before lead contact is flagged", "[app]") {
  const Folder folder;
  const std::string session = analysed_session(folder);
  REQUIRE(edit({"move", session, "--throw", "1", "--event", "release", "--to", "2300ms", "--who",
                "coach", "--why", "slip of the hand"}) == 0);
  const json flags = only_throw(session)["flags"];
  CHECK(std::count(flags.begin(), flags.end(), "events_out_of_order") == 1);
}

TEST_CASE("edit: a tag without a name and a change without a person are refused", "[app]") {
  const Folder folder;
  const std::string session = analysed_session(folder);
  CHECK(edit({"tag", session, "--throw", "1", "--name", "", "--text", "x"}) == 1);
  CHECK(edit({"exclude", session, "--throw", "1", "--who", "", "--why", "slipped"}) == 1);
  CHECK(edit({"exclude", session, "--throw", "1", "--who", "coach", "--why", ""}) == 1);
  REQUIRE(edit({"tag", session, "--throw", "1", "--name", "cue", "--text", "st\xE4y"}) == 0);
  const auto list = run_command({"edit", "list", session, "--json"});
  const json rows = json::parse(list.out);
  REQUIRE(rows.size() == 1);
  CHECK(rows[0]["text"] == "st\xEF\xBF\xBDy");
}

TEST_CASE("edit: a field of a throw is checked and shown in the JSON", "[app]") {
  const Folder folder;
  const std::string session = analysed_session(folder);
  const auto tag = [&](const char* name, const char* text) {
    return run_command({"edit", "tag", session, "--throw", "1", "--name", name, "--text", text});
  };
  for (const auto& [name, text] :
       {std::pair{"effort", "90"}, std::pair{"effort", "120%"}, std::pair{"delivery", "sideways"},
        std::pair{"warm_up", "2"}, std::pair{"ball", "145"}, std::pair{"Ball", "9kg"}}) {
    const auto run = tag(name, text);
    CHECK(run.code == 1);
    CHECK(one_sentence(run.err));
  }
  CHECK(moundwork::session::read_edits(session)->empty());
  const json silent = only_throw(session)["fields"];
  CHECK(silent["pitch_type"].is_null());
  CHECK(silent["effort"].is_null());
  CHECK(silent["warm_up"] == false);
  CHECK(silent["ball_mass"] == 0.145);

  REQUIRE(tag("Pitch type", "Changeup").code == 0);
  REQUIRE(tag("effort", "9/10").code == 0);
  REQUIRE(tag("warm_up", "Yes").code == 0);
  REQUIRE(tag("ball", "200g").code == 0);
  const json thrown = only_throw(session);
  CHECK(thrown["tags"]["pitch_type"] == "change-up");
  CHECK(thrown["fields"]["pitch_type"] == "change-up");
  CHECK(thrown["fields"]["effort"].get<double>() == Approx(0.9));
  CHECK(thrown["fields"]["warm_up"] == true);
  CHECK(thrown["fields"]["ball_mass"].get<double>() == Approx(0.2));
  REQUIRE(tag("ball", "").code == 0);
  CHECK(only_throw(session)["fields"]["ball_mass"] == 0.145);
}

TEST_CASE("edit: a session is named a retest of another of its athlete, and no more", "[app]") {
  const Folder folder;
  made::write(folder / "made.c3d");
  const auto session = [&](const char* name, const char* athlete) {
    const std::string path = folder / name;
    REQUIRE(run_command({"import", "--c3d", folder / "made.c3d", "--throws", "right", "--mass",
                         "80kg", "--athlete", athlete, "--out", path})
                .code == 0);
    return path;
  };
  const std::string first = session("first.h5", "A1");
  const std::string again = session("again.h5", "A1");
  const std::string other = session("other.h5", "A2");
  for (const auto& arguments : std::vector<std::vector<std::string>>{
           {"edit", "retest", again, "--of", other},
           {"edit", "retest", again, "--of", again},
           {"edit", "retest", again},
           {"edit", "retest", again, "--withdraw"},
           {"edit", "retest", again, "--of", folder / "nothing.h5"}}) {
    const auto run = run_command(arguments);
    CAPTURE(run.err);
    CHECK(run.code == 1);
    CHECK(one_sentence(run.err));
  }
  REQUIRE(moundwork::session::read_edits(again)->empty());

  const auto named = run_command({"edit", "retest", again, "--of", first, "--who", "coach"});
  CHECK(named.code == 0);
  CHECK(named.out.find("named it a retest of ") != std::string::npos);
  CHECK(named.out.find("Analyse again") == std::string::npos);
  auto edits = moundwork::session::read_edits(again);
  REQUIRE(edits);
  CHECK(moundwork::session::retest_of(*edits).has_value());
  CHECK(edit({"retest", again, "--withdraw"}) == 0);
  CHECK_FALSE(moundwork::session::retest_of(*moundwork::session::read_edits(again)));
  CHECK(edit({"undo", again}) == 0);
  CHECK(moundwork::session::retest_of(*moundwork::session::read_edits(again)));
}

TEST_CASE("edit take: a log is taken whole or not at all, and once", "[app]") {
  const Folder folder;
  const std::string session = analysed_session(folder);
  const auto take = [&](const std::string& place, const std::string& text) {
    std::ofstream(folder / "log.csv") << text;
    return run_command({"edit", "take", place, "--log", folder / "log.csv", "--who", "coach"});
  };
  for (const char* bad :
       {"session,throw,pitch,cue\nmade.h5,1,fastball,\nmade.h5,2,fastball,\n",
        "session,throw,pitch\nmade.h5,1,slider\nother.h5,1,slider\n",
        "session,throw,effort\nmade.h5,1,9\n", "session,throw,mood\nmade.h5,1,x\n"})
    for (const std::string& place : {session, std::string(folder / "")}) {
      const auto run = take(place, bad);
      CAPTURE(bad, run.err);
      CHECK(run.code == 1);
      CHECK(one_sentence(run.err));
      CHECK(run.err.find("line") != std::string::npos);
      CHECK(moundwork::session::read_edits(session)->empty());
    }
  const std::string good = "session,throw,pitch,cue\nmade.h5,1,fastball,heel\n";
  REQUIRE(take(session, good).code == 0);
  const auto first = moundwork::session::read_edits(session);
  REQUIRE(first->size() == 2);
  CHECK((*first)[0].who == "coach");
  CHECK(only_throw(session)["fields"]["pitch_type"] == "fastball");
  CHECK(only_throw(session)["tags"]["cue"] == "heel");
  REQUIRE(take(folder / "", good).code == 0);
  CHECK(moundwork::session::read_edits(session)->size() == 2);
}

TEST_CASE("edit: an excluded throw is marked in table and JSON until it is included", "[app]") {
  const Folder folder;
  const std::string session = analysed_session(folder);
  CHECK(only_throw(session)["excluded"].is_null());
  REQUIRE(edit({"exclude", session, "--throw", "1", "--who", "coach", "--why", "slipped"}) == 0);
  REQUIRE(edit({"tag", session, "--throw", "1", "--name", "cue", "--text", "stay tall"}) == 0);
  const json thrown = only_throw(session);
  CHECK(thrown["excluded"]["why"] == "slipped");
  CHECK(thrown["excluded"]["who"] == "coach");
  CHECK(thrown["tags"]["cue"] == "stay tall");
  CHECK(run_command({"analyse", session}).out.find("x throw 1: excluded by coach: slipped") !=
        std::string::npos);
  REQUIRE(edit({"include", session, "--throw", "1"}) == 0);
  CHECK(only_throw(session)["excluded"].is_null());
}

TEST_CASE("edit: what cannot be is refused in a sentence and leaves no edit", "[app]") {
  const Folder folder;
  const std::string session = analysed_session(folder);
  const std::vector<std::string> why{"--who", "coach", "--why", "video"};
  const auto refused = [&](std::vector<std::string> arguments, const std::string& told) {
    arguments.insert(arguments.begin(), "edit");
    arguments.insert(arguments.end(), why.begin(), why.end());
    const auto run = run_command(arguments);
    CAPTURE(run.err);
    CHECK(run.code == 1);
    CHECK(one_sentence(run.err));
    CHECK(run.err.find(told) != std::string::npos);
  };
  refused({"exclude", session, "--throw", "2"}, "throws 1 to 1");
  refused({"exclude", folder / "none.h5", "--throw", "1"}, "none.h5");
  refused({"move", session, "--throw", "1", "--event", "lift", "--to", "2.6s"}, "lead_contact");
  refused({"move", session, "--throw", "1", "--event", "release", "--to", "2.6"}, "unit");
  refused({"move", session, "--throw", "1", "--event", "release", "--to", "70s"}, "lead contact");
  refused({"move", session, "--throw", "1", "--event", "release", "--to", "2.6s", "--u", "0ms"},
          "standard uncertainty");
  refused({"undo", session}, "nothing to undo");
  // Who and why are asked for before anything else.
  CHECK(edit({"exclude", session, "--throw", "1", "--who", "coach"}) != 0);
  const auto edits = moundwork::session::read_edits(session);
  REQUIRE(edits);
  CHECK(edits->empty());
}

TEST_CASE("edit: a mark is set by frame", "[app]") {
  const Folder folder;
  const std::string session = analysed_session(folder);
  REQUIRE(edit({"mark", session, "--throw", "1", "--mark", "release", "--frame", "430.5",
                "--landing-frame", "400", "--rate", "240Hz", "--who", "coach"}) == 0);
  const auto edits = moundwork::session::read_edits(session);
  REQUIRE(edits);
  REQUIRE(edits->size() == 1);
  CHECK(edits->front().frame == 430.5);
  CHECK(edits->front().landing_frame == 400.0);
  CHECK(edits->front().rate == 240.0);
  // 30.5 frames after contact, which the closed form of support/made_throw gives.
  const json candidates = only_throw(session)["release_candidates"];
  const auto video = std::find_if(candidates.begin(), candidates.end(),
                                  [](const json& one) { return one["source"] == "video mark"; });
  REQUIRE(video != candidates.end());
  CHECK((*video)["value"].get<double>() ==
        Approx(made::lead_contact(0.05) + 30.5 / 240.0).margin(0.003));
  const json told = json::parse(run_command({"edit", "list", session, "--json"}).out);
  CHECK(told[0]["words"] ==
        "marked release at frame 430.5, landing at frame 400, 240 frames a second");
  for (const std::vector<std::string>& wrong :
       {std::vector<std::string>{"--mark", "elbow", "--frame", "430", "--rate", "240Hz"},
        std::vector<std::string>{"--mark", "release", "--frame", "-1", "--rate", "240Hz"},
        std::vector<std::string>{"--mark", "release", "--frame", "430", "--rate", "2Hz"},
        std::vector<std::string>{"--mark", "release", "--frame", "430", "--rate", "240"}}) {
    std::vector<std::string> all{"edit", "mark", session, "--throw", "1", "--landing-frame", "400"};
    all.insert(all.end(), wrong.begin(), wrong.end());
    const auto run = run_command(all);
    CAPTURE(run.err);
    CHECK(run.code != 0);
    CHECK(one_sentence(run.err));
  }
  CHECK(moundwork::session::read_edits(session)->size() == 1);
}

TEST_CASE("edit: a session's facts are put right, and the results follow", "[app]") {
  const Folder folder;
  const std::string session = analysed_session(folder);
  const auto braking_peak = [&] {
    return only_throw(session)["quantities"]["braking_peak_force_bw"]["value"].get<double>();
  };
  CHECK(braking_peak() == Approx(made::braking_peak_bw).epsilon(0.02));
  // Of half the mass the same forces are twice as many body weights.
  REQUIRE(edit({"fact", session, "--mass", "40kg", "--throws", "left", "--name", "Ilse Brand",
                "--who", "coach", "--why", "typed wrongly"}) == 0);
  CHECK(braking_peak() == Approx(2.0 * made::braking_peak_bw).epsilon(0.02));
  CHECK(run_command({"analyse", session}).out.find("Ilse Brand") != std::string::npos);
  const json listed = json::parse(run_command({"edit", "list", session, "--json"}).out);
  REQUIRE(listed.size() == 3);
  for (const json& one : listed) {
    CHECK(one["action"] == "set_fact");
    CHECK(one["throw_contact"].is_null());
    CHECK(one["why"] == "typed wrongly");
  }
  CHECK(listed[2]["target"] == "mass");
  CHECK(listed[2]["value"] == 40.0);
  CHECK(listed[2]["unit"] == "kg");
  // The last edit was the mass.
  REQUIRE(edit({"undo", session}) == 0);
  CHECK(braking_peak() == Approx(made::braking_peak_bw).epsilon(0.02));

  for (const std::vector<std::string>& wrong :
       {std::vector<std::string>{"--mass", "850kg"}, std::vector<std::string>{"--height", "18m"},
        std::vector<std::string>{"--born", "2050-01-01"},
        std::vector<std::string>{"--born", "2007-02-29"},
        std::vector<std::string>{"--temperature", "-270C"},
        std::vector<std::string>{"--pressure", "1hPa"}, std::vector<std::string>{"--mass", "45"},
        std::vector<std::string>{"--humidity", "45"}, std::vector<std::string>{}}) {
    std::vector<std::string> all{"edit", "fact", session, "--who", "coach", "--why", "x"};
    all.insert(all.end(), wrong.begin(), wrong.end());
    const auto run = run_command(all);
    CAPTURE(run.err);
    CHECK(run.code != 0);
    CHECK(one_sentence(run.err));
  }
  // Several facts are put right together or not at all: a name that does not fit the list takes
  // the id before it back.
  CHECK(edit({"fact", session, "--athlete", "A09", "--name", std::string(300, 'x'), "--who",
              "coach", "--why", "x"}) != 0);
  CHECK(moundwork::session::read_edits(session)->size() == 4);
}

TEST_CASE("import: results that lie under the new session's name are set aside and said", "[app]") {
  const Folder folder;
  const std::string session = analysed_session(folder);
  const auto again = run_command({"import", "--c3d", folder / "made.c3d", "--throws", "right",
                                  "--mass", "80kg", "--out", session, "--force"});
  REQUIRE(again.code == 0);
  CHECK(again.out.find("made.results.hdf5.of-another-session") != std::string::npos);
  const auto page = run_command({"summarise", session, "--out", folder / "page"});
  CHECK(page.code != 0);
  CHECK(page.err.find("has not been analysed") != std::string::npos);
}
