// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/people/roster_change.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <thread>

#include "core/base/lab_file.h"
#include "core/people/athlete_ids.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::people;

namespace {

RosterAthlete athlete(const std::string& id, const std::string& name) {
  RosterAthlete one;
  one.id = id;
  one.name = name;
  one.consent = "2026-01-10";
  return one;
}

RowChange added(const RosterAthlete& one, bool any_id = false) {
  return {std::nullopt, one, any_id};
}

std::string text_in(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

std::vector<std::string> ids(const std::vector<RosterAthlete>& athletes) {
  std::vector<std::string> list;
  for (const RosterAthlete& one : athletes) list.push_back(one.id);
  return list;
}

}  // namespace

TEST_CASE("two who add to a roster keep both athletes, under two ids", "[people]") {
  const support::Folder folder;
  // Both read it when it was empty.
  const auto a = change_roster(folder.path(), {added(athlete("A01", "Added By A"), true)});
  const auto b = change_roster(folder.path(), {added(athlete("A01", "Added By B"), true)});
  REQUIRE(a);
  REQUIRE(b);
  CHECK(b->made.front().after->id == "A02");
  const auto roster = read_roster(folder / "roster.csv");
  REQUIRE(roster->size() == 2);
  CHECK(roster->at(0).name == "Added By A");
  CHECK(roster->at(1).name == "Added By B");
}

TEST_CASE("many who change a roster at once lose nobody", "[people]") {
  const support::Folder folder;
  std::vector<std::thread> windows;
  for (int w = 0; w < 4; ++w)
    windows.emplace_back([&, w] {
      for (int i = 0; i < 5; ++i)
        if (!change_roster(folder.path(),
                           {added(athlete("", std::to_string(w) + "/" + std::to_string(i)), true)}))
          return;
    });
  for (auto& window : windows) window.join();
  const auto roster = read_roster(folder / "roster.csv");
  REQUIRE(roster);
  CHECK(roster->size() == 20);
}

TEST_CASE("columns and lines that a spreadsheet put in stay to the letter", "[people]") {
  const support::Folder folder;
  const std::string other = "A02,\"Moor, Lea\",right,+1 555 0100,2026-01-11,Reds,=A1\r\n";
  std::ofstream(folder / "roster.csv", std::ios::binary)
      << "id,name,throws,phone,consent,team,sum\r\nA01,Ivo,left,+1 555 0199,2026-01-10,Blues,\r\n"
      << other;
  const auto before = read_roster(folder / "roster.csv");
  REQUIRE(before);
  RosterAthlete taller = before->at(0);
  taller.height = 1.84;
  REQUIRE(change_roster(folder.path(), {{before->at(0), taller}}));
  const std::string text = text_in(folder / "roster.csv");
  CHECK(text.starts_with("id,name,throws,phone,consent,team,sum,height_m\r\n"));
  CHECK(text.find("A01,Ivo,left,+1 555 0199,2026-01-10,Blues,,1.84\r\n") != std::string::npos);
  CHECK(text.find(other.substr(0, other.size() - 2) + ",\r\n") != std::string::npos);
  // Taken off and put back, the lab's own cells come back too.
  const auto off = change_roster(folder.path(), {{before->at(1), std::nullopt}});
  REQUIRE(off);
  CHECK(ids(off->athletes) == std::vector<std::string>{"A01"});
  REQUIRE(change_roster(folder.path(), reversed(off->made)));
  CHECK(text_in(folder / "roster.csv") == text);
}

TEST_CASE("a roster of semicolons and decimal commas stays one", "[people]") {
  const support::Folder folder;
  std::ofstream(folder / "roster.csv", std::ios::binary)
      << "\xef\xbb\xbfid;name;throws;height_m;mass_kg\r\nA01;Ivo;left;1,84;80\r\n";
  const auto before = read_roster(folder / "roster.csv");
  REQUIRE(before);
  CHECK(before->at(0).height == Approx(1.84));
  RosterAthlete heavier = before->at(0);
  heavier.mass = 81.5;
  REQUIRE(change_roster(folder.path(), {{before->at(0), heavier}}));
  CHECK(text_in(folder / "roster.csv") ==
        "\xef\xbb\xbfid;name;throws;height_m;mass_kg\r\nA01;Ivo;left;1,84;81,5\r\n");
}

TEST_CASE("two who change one row are told; one cell is nobody's without a word", "[people]") {
  const support::Folder folder;
  REQUIRE(change_roster(folder.path(), {added(athlete("A01", "Ivo"))}));
  const RosterAthlete seen = read_roster(folder / "roster.csv")->at(0);
  RosterAthlete taller = seen, heavier = seen, shorter = seen;
  taller.height = 1.84;
  heavier.mass = 80;
  shorter.height = 1.8;
  const auto first = change_roster(folder.path(), {{seen, taller}});
  REQUIRE(first);
  CHECK(first->remarks.empty());
  const auto second = change_roster(folder.path(), {{seen, heavier}});
  REQUIRE(second);
  REQUIRE(second->remarks.size() == 1);
  CHECK(second->remarks[0].find("height_m") != std::string::npos);
  CHECK(second->athletes[0].height == Approx(1.84));
  CHECK(second->athletes[0].mass == Approx(80));
  const std::string kept = text_in(folder / "roster.csv");
  const auto third = change_roster(folder.path(), {{seen, shorter}});
  REQUIRE_FALSE(third);
  CHECK(third.error().sentence().find("'1.84'") != std::string::npos);
  CHECK_FALSE(change_roster(folder.path(), {{seen, std::nullopt}}));
  CHECK(text_in(folder / "roster.csv") == kept);
  // Somebody removed the row.
  const RosterAthlete now = read_roster(folder / "roster.csv")->at(0);
  REQUIRE(change_roster(folder.path(), {{now, std::nullopt}}));
  RosterAthlete renamed = now;
  renamed.name = "Ivo B";
  CHECK_FALSE(change_roster(folder.path(), {{now, renamed}}));
}

TEST_CASE("a removed athlete's id is given to nobody else", "[people]") {
  const support::Folder folder;
  const auto next = [&] {
    const auto made = change_roster(folder.path(), {added(RosterAthlete(), true)});
    REQUIRE(made);
    return *made->made.front().after;
  };
  CHECK(next().id == "A01");
  const RosterAthlete second = next();
  CHECK(second.id == "A02");
  REQUIRE(change_roster(folder.path(), {{second, std::nullopt}}));
  CHECK(next().id == "A03");
  // The number is kept, not only looked up.
  CHECK(read_lab_file(folder.path())->next_id == 4);
  // Sessions and weigh-ins of old name ids that no roster has any more.
  std::filesystem::create_directories(folder / "sessions");
  std::ofstream(folder / "sessions/2026-05-04-A17-2.h5") << "x";
  CHECK(next().id == "A18");
  CHECK(number_of("A07") == 7);
  CHECK_FALSE(number_of("B07"));
  CHECK_FALSE(number_of("A7x"));
}

TEST_CASE("what turns one list into another is told row by row", "[people]") {
  const std::vector<RosterAthlete> before{athlete("A01", "a"), athlete("A02", "b"),
                                          athlete("A03", "c")};
  auto after = before;
  after[1].id = "L7";
  after[2].mass = 70;
  const auto changes = changes_between(before, after);
  REQUIRE(changes.size() == 2);
  CHECK(changes[0].before->id == "A02");
  CHECK(changes[0].after->id == "L7");
  CHECK(changes[1].after->mass == Approx(70));
  CHECK(changes_between(before, before).empty());
  CHECK(changes_between(before, {before[0], before[2]}).size() == 1);
}
