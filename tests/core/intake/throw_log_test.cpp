// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/intake/throw_log.h"

#include <catch2/catch.hpp>
#include <fstream>

#include "support/folder.h"

using namespace moundwork;
using intake::LoggedThrow;

namespace {

Result<intake::ThrowLog> read(const std::string& text) {
  const support::Folder folder;
  const std::filesystem::path path = folder / "log.csv";
  std::ofstream(path) << text;
  return intake::read_throw_log(path);
}

std::string refusal(const std::string& text) {
  const auto log = read(text);
  return log ? std::string() : log.error().sentence();
}

bool tells(const std::string& sentence, const std::string& words) {
  return sentence.find(words) != std::string::npos;
}

session::ResultSet two_throws() {
  session::ResultSet results;
  for (int number = 1; number <= 2; ++number) {
    session::ResultThrow thrown;
    thrown.number = number;
    thrown.contact = session_time(10.0 * number);
    results.throws.push_back(thrown);
  }
  return results;
}

Result<std::vector<session::Edit>> edits_of(const intake::ThrowLog& log,
                                            const std::vector<session::Edit>& there) {
  std::vector<const LoggedThrow*> lines;
  for (const LoggedThrow& thrown : log.throws) lines.push_back(&thrown);
  return intake::edits_from_log(log, lines, two_throws(), there);
}

}  // namespace

TEST_CASE("a log says what its columns say of each throw", "[log]") {
  const auto log = read(
      "session;throw;pitch;cue;effort;warm-up;ball\na.h5;1;Fastball;heel;90%;yes;5oz\na.h5;2;"
      "two-seam;;;;\n");
  REQUIRE(log);
  REQUIRE(log->throws.size() == 2);
  const auto& first = log->throws[0];
  CHECK(first.session == "a.h5");
  CHECK(first.number == 1);
  REQUIRE(first.tags.size() == 5);
  CHECK(first.tags[0].tag == "pitch_type");
  CHECK(first.tags[0].text == "fastball");
  CHECK(first.tags[1].tag == "cue");
  CHECK(first.tags[3].tag == "warm_up");
  CHECK(log->throws[1].line == 3);
  REQUIRE(log->throws[1].tags.size() == 1);
  CHECK(log->throws[1].tags[0].text == "two-seam");
}

TEST_CASE("a log that does not hold is refused by line and column", "[log]") {
  CHECK(tells(refusal("session,throw,cue,effort\na,1,x,90%\na,2,,90\n"), "line 3, column 4"));
  CHECK(tells(refusal("session,throw,cue\na,0,x\n"), "line 2, column 2"));
  CHECK(tells(refusal("session,throw,cue\n,1,x\n"), "line 2, column 1"));
  CHECK(tells(refusal("session,throw,cue\na,1,x\na,1,y\n"), "on line 2 already"));
  CHECK(tells(refusal("session,throw,pitch,mood\na,1,x,y\n"), "line 1, column 4"));
  CHECK(tells(refusal("session,throw,pitch,pitch_type\na,1,x,y\n"), "same as column 3"));
  CHECK(tells(refusal("throw,cue\n1,x\n"), "no column 'session'"));
  CHECK(tells(refusal("session,throw\na,1\n"), "says nothing"));
  CHECK(tells(refusal("session,throw,cue\n"), "no throws"));
  CHECK(refusal("session,throw,cue\na,1\n") != "");
}

TEST_CASE("a log's sessions are found by file or identity, each one alone", "[log]") {
  const auto log = read("session,throw,cue\na.h5,1,x\nb,1,x\n77-x,1,x\n");
  REQUIRE(log);
  const std::vector<intake::LogTarget> targets{{"b.h5", "1"}, {"a.h5", "2"}, {"c.h5", "77-x"}};
  const auto places = intake::sessions_of(*log, targets);
  REQUIRE(places);
  CHECK(*places == std::vector<std::size_t>{1, 0, 2});
  const std::vector<intake::LogTarget> fewer{{"a.h5", "2"}};
  CHECK(tells(intake::sessions_of(*log, fewer).error().sentence(), "line 3, column 1"));
  const std::vector<intake::LogTarget> same{{"a.h5", "2"}, {"b.h5", "3"}, {"b.hdf5", "77-x"}};
  CHECK(tells(intake::sessions_of(*log, same).error().sentence(), "two of the sessions"));
}

TEST_CASE("a log adds what the session's tags do not say yet", "[log]") {
  const auto log = read("session,throw,pitch,cue\na,1,fastball,heel\na,2,slider,\n");
  REQUIRE(log);
  auto edits = edits_of(*log, {});
  REQUIRE(edits);
  REQUIRE(edits->size() == 3);
  CHECK((*edits)[2].throw_contact == Approx(20.0));
  CHECK((*edits)[2].target == "pitch_type");
  CHECK((*edits)[2].text == "slider");
  CHECK(edits_of(*log, *edits)->empty());
  (*edits)[2].text = "cutter";
  CHECK(edits_of(*log, *edits)->size() == 1);
  const auto stranger = read("session,throw,cue\na,1,x\na,3,x\n");
  CHECK(tells(edits_of(*stranger, {}).error().sentence(), "line 3, column 2"));
}
