// SPDX-License-Identifier: GPL-3.0-or-later
#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <sstream>
#include <utility>

#include "app/index/made_session.h"
#include "app/support/run_command.h"
#include "core/base/lab_file.h"
#include "support/folder.h"

using moundwork::support::Folder;
using moundwork::test::CommandRun;
using moundwork::test::MadeSession;
using moundwork::test::one_sentence;
using moundwork::test::run_command;
using nlohmann::json;

namespace {

struct Day {
  Folder folder;
  std::string index = (folder / "index.sqlite").string();

  // `athletes` of them, A-01 and up, at 30, 31, 32 ... m/s.
  explicit Day(int athletes) {
    for (int i = 0; i < athletes; ++i) {
      MadeSession made;
      made.id = "session-" + std::to_string(i);
      made.athlete = "A-" + std::to_string(10 + i);
      made.name = "Invented " + std::to_string(i);
      made.throws = {{10.0, 30.0 + i - 0.5, 60.0}, {20.0, 30.0 + i + 0.5, 60.0}};
      write(folder / (made.athlete + ".h5"), made);
    }
  }

  [[nodiscard]] CommandRun run(std::vector<std::string> arguments) const {
    arguments.insert(arguments.end(), {"--index", index});
    return run_command(std::move(arguments));
  }
};

class Typed {
 public:
  explicit Typed(const std::string& text) : text_(text), old_(std::cin.rdbuf(text_.rdbuf())) {}
  ~Typed() { std::cin.rdbuf(old_); }
  Typed(const Typed&) = delete;
  Typed& operator=(const Typed&) = delete;

 private:
  std::istringstream text_;
  std::streambuf* old_;
};

namespace support_lab {

// Sessions of two, their pages and a table of both, no index.
struct Place {
  Folder folder;
  Place() {
    for (const char* sub : {"sessions", "summaries", "config"})
      std::filesystem::create_directories(folder / sub);
    // This account keeps no index.
    ::setenv("XDG_DATA_HOME", (folder / "config").c_str(), 1);
    for (const auto& [file, athlete] : {std::pair{"a", "A-10"}, std::pair{"b", "A-11"}}) {
      MadeSession made;
      made.id = std::string("session-") + file;
      made.athlete = athlete;
      made.name = std::string("Invented ") + file;
      write(folder / "sessions" / (std::string(file) + ".h5"), made);
      std::ofstream(folder / "summaries" / (std::string(file) + ".summary.pdf")) << "x";
    }
    std::ofstream(folder / "summaries/throws.csv")
        << "athlete,session\nA-10,session-a\nA-11,session-b\n";
    std::ofstream(folder / "roster.csv") << "id,name,throws\nA-10,Invented a,left\n"
                                         << "A-11,Invented b,right\n";
  }
  ~Place() { ::unsetenv("XDG_DATA_HOME"); }
  Place(const Place&) = delete;
  Place& operator=(const Place&) = delete;
};

}  // namespace support_lab

bool says(const std::string& text, const std::string& words) {
  INFO(text);
  CHECK(text.find(words) != std::string::npos);
  return true;
}

}  // namespace

TEST_CASE("index command: made from a folder, a bad file told and the others in", "[app][index]") {
  const Day day(3);
  auto run = day.run({"index", "rebuild", day.folder.path().string()});
  CHECK(run.code == 0);
  CHECK(run.err.empty());
  says(run.out, "3 sessions entered from 3 files");
  std::ofstream(day.folder / "bad.h5") << "no session";
  run = day.run({"index", "rebuild", day.folder.path().string(), "--json"});
  CHECK(run.code == 1);
  CHECK(one_sentence(run.err));
  says(run.err, "bad.h5");
  const auto told = json::parse(run.out);
  CHECK(told["sessions"] == 3);
  CHECK(told["bad"].size() == 1);
  CHECK(told["bytes"].get<double>() > 1000);

  run = day.run({"index", "list"});
  CHECK(run.code == 0);
  says(run.out, "A-11, Invented 1");
  says(run.out, (day.folder / "A-11.h5").string());
  says(run.out, "3 athletes, 3 sessions in");
  const auto listed = json::parse(day.run({"index", "list", "--json"}).out);
  CHECK(listed["athletes"][2]["id"] == "A-12");
  CHECK(listed["sessions"][0]["locations"].size() == 1);
}

TEST_CASE("index command: add reports each file", "[app][index]") {
  const Day day(2);
  auto run = day.run({"index", "add", (day.folder / "A-10.h5").string(),
                      (day.folder / "none.h5").string(), (day.folder / "A-11.h5").string()});
  CHECK(run.code == 1);
  CHECK(one_sentence(run.err));
  says(run.err, "none.h5");
  says(run.out, "A-10.h5: added, 2 throws of A-10");
  says(run.out, "A-11.h5: added, 2 throws of A-11");
  std::filesystem::copy_file(day.folder / "A-10.h5", day.folder / "copy.h5");
  run = day.run({"index", "add", (day.folder / "copy.h5").string()});
  CHECK(run.code == 0);
  // The copy has no companion: what was found in the other counts.
  says(run.out, "older copy");
  says(run.out, "also at " + (day.folder / "A-10.h5").string());
  const auto again =
      json::parse(day.run({"index", "add", (day.folder / "A-10.h5").string(), "--json"}).out);
  CHECK(again["files"][0]["stored"] == "replaced");
}

TEST_CASE("index command: history and group", "[app][index]") {
  const Day day(21);
  REQUIRE(day.run({"index", "rebuild", day.folder.path().string()}).code == 0);
  auto run = day.run({"index", "history", "A-10", "--quantity", "ball_speed"});
  CHECK(run.code == 0);
  says(run.out, "2026-03-01     2 throws  mean");
  const auto history = json::parse(
      day.run({"index", "history", "Invented 3", "--quantity", "ball_speed", "--json"}).out);
  CHECK(history["athlete"] == "A-13");
  CHECK(history["quantities"][0]["sessions"][0]["mean"] == 33.0);
  CHECK(history["quantities"][0]["sessions"][0]["age"] == 17);

  // 30, 31 ... 50 m/s without A-10's 30: NumPy's percentile(range(31, 51), [5, 50, 95]) is
  // 31.95, 40.5, 49.05.
  run = day.run({"index", "group", "--quantity", "ball_speed", "--athlete", "A-10", "--json"});
  CHECK(run.code == 0);
  const auto group = json::parse(run.out)["groups"][0];
  CHECK(group["athletes"] == 20);
  CHECK(group["percentiles"]["5"].get<double>() == Approx(31.95));
  CHECK(group["percentiles"]["50"].get<double>() == Approx(40.5));
  CHECK(group["percentiles"]["95"].get<double>() == Approx(49.05));
  CHECK(group["place"]["below"] == 0);
  CHECK(group["place"]["percentile"] == 0.0);
  says(day.run({"index", "group", "--quantity", "ball_speed", "--speed-unit", "mph"}).out,
       "ball_speed, mph: 21 athletes");
  says(day.run({"index", "group", "--quantity", "ball_speed", "--age-from", "40"}).out,
       "0 athletes, aged 40 and above");
  says(day.run({"index", "group", "--quantity", "ball_speed", "--throws", "left"}).out, "too few");
}

TEST_CASE("index command: few athletes give no percentiles, fewer no numbers", "[app][index]") {
  const Day day(4);
  REQUIRE(day.run({"index", "rebuild", day.folder.path().string()}).code == 0);
  auto group = json::parse(day.run({"index", "group", "--quantity", "ball_speed", "--json"}).out);
  CHECK(group["groups"][0]["percentiles"].is_null());
  CHECK(group["groups"][0]["median"] == 31.5);
  std::filesystem::remove(day.folder / "A-10.h5");
  std::filesystem::remove(day.folder / "A-11.h5");
  REQUIRE(day.run({"index", "rebuild", day.folder.path().string()}).code == 0);
  group = json::parse(day.run({"index", "group", "--quantity", "ball_speed", "--json"}).out);
  CHECK(group["groups"][0]["athletes"] == 2);
  CHECK_FALSE(group["groups"][0].contains("median"));
}

TEST_CASE("index command: mistakes get one sentence", "[app][index]") {
  const Day day(1);
  const auto refused = [&](std::vector<std::string> arguments, const std::string& words) {
    const auto run = day.run(std::move(arguments));
    CHECK(run.code == 1);
    CHECK(run.out.empty());
    INFO(run.err);
    CHECK(one_sentence(run.err));
    says(run.err, words);
  };
  refused({"index", "list"}, "there is no index");
  refused({"index", "rebuild", (day.folder / "nowhere").string()}, "is no folder");
  REQUIRE(day.run({"index", "rebuild", day.folder.path().string()}).code == 0);
  refused({"index", "history", "nobody"}, "there is no athlete 'nobody'");
  refused({"index", "history", "A-10", "--quantity", "speed"}, "'speed' is not a quantity");
  refused({"index", "group", "--quantity", "ball_speed", "--age-from", "20", "--age-to", "10"},
          "--age-to");
  refused({"forget", "nobody"}, "there is no athlete 'nobody'");
  const auto plain =
      run_command({"index", "list", "--index", "postgresql://db.example/lab?sslmode=disable"});
  CHECK(plain.code == 1);
  CHECK(one_sentence(plain.err));
  says(plain.err, "unencrypted");
}

TEST_CASE("forget command: shows, asks, deletes, and tells what is left", "[app][index]") {
  const Day day(2);
  REQUIRE(day.run({"index", "rebuild", day.folder.path().string()}).code == 0);
  {
    const Typed no("yes\n");  // the id is asked for
    const auto run = day.run({"forget", "A-10"});
    CHECK(run.code == 1);
    says(run.out, (day.folder / "A-10.h5").string());
    says(run.out, (day.folder / "A-10.results.hdf5").string());
    says(run.out, "1 session, 2 throws, 0 edits");
    says(run.out, "backups");
    says(run.err, "nothing was deleted");
    CHECK(std::filesystem::exists(day.folder / "A-10.h5"));
  }
  const auto shown = day.run({"forget", "A-10", "--json"});
  CHECK(shown.code == 1);
  CHECK(json::parse(shown.out)["plan"]["listed"].size() == 1);
  CHECK(std::filesystem::exists(day.folder / "A-10.h5"));
  {
    const Typed id("A-10\n");
    const auto run = day.run({"forget", "A-10"});
    CHECK(run.code == 0);
    CHECK(run.err.empty());
    says(run.out, "2 files were deleted");
    CHECK_FALSE(std::filesystem::exists(day.folder / "A-10.h5"));
    CHECK_FALSE(std::filesystem::exists(day.folder / "A-10.results.hdf5"));
    CHECK(std::filesystem::exists(day.folder / "A-11.h5"));
  }
  // A copy from a backup.
  MadeSession backup;
  backup.id = "session-0";
  backup.athlete = "A-10";
  write(day.folder / "backup.h5", backup);
  const auto copy = day.run({"index", "add", (day.folder / "backup.h5").string()});
  CHECK(copy.code == 1);
  says(copy.out, "backup.h5: left out\n");
  says(copy.out, "this session was deleted on");
  says(copy.out, "moundwork index add --again takes it in");
  CHECK(day.run({"index", "add", "--again", (day.folder / "backup.h5").string()}).code == 0);
  // Something in the way of a file: told, listed, exit code 2.
  std::filesystem::remove(day.folder / "A-11.h5");
  std::filesystem::create_directory(day.folder / "A-11.h5");
  const auto run = day.run({"forget", "A-11", "--yes"});
  CHECK(run.code == 2);
  says(run.err, "A-11.h5 is left");
  says(day.run({"index", "list"}).out, "not deleted: ");
}

TEST_CASE("forget command: a lab's folder without an index, its shared tables and its roster",
          "[app][index]") {
  const support_lab::Place place;
  const auto& folder = place.folder;
  const std::vector<std::string> command{"forget", "A-10", "--lab", folder.path().string(),
                                         "--roster"};
  // Nothing goes before it was confirmed.
  auto asked = command;
  asked.push_back("--json");
  auto run = run_command(asked);
  CHECK(run.code == 1);
  const auto plan = json::parse(run.out)["plan"];
  CHECK(plan["counts"]["session"] == 1);
  CHECK(plan["counts"]["companion"] == 1);
  CHECK(plan["counts"]["page"] == 1);
  CHECK(plan["on_roster"] == true);
  REQUIRE(plan["shared"].size() == 1);
  says(plan["shared"][0], "throws.csv");
  CHECK(std::filesystem::exists(folder / "sessions/a.h5"));
  {
    const Typed no("yes\n");
    CHECK(run_command(command).code == 1);
  }
  CHECK(std::filesystem::exists(folder / "sessions/a.h5"));
  {
    const Typed yes("A-10\n");
    run = run_command(command);
  }
  CHECK(run.code == 0);
  says(run.out, "make them again");
  for (const char* gone : {"sessions/a.h5", "sessions/a.results.hdf5", "summaries/a.summary.pdf"})
    CHECK_FALSE(std::filesystem::exists(folder / gone));
  for (const char* kept : {"sessions/b.h5", "sessions/b.results.hdf5", "summaries/throws.csv"})
    CHECK(std::filesystem::exists(folder / kept));
  std::ifstream roster(folder / "roster.csv");
  const std::string text(std::istreambuf_iterator<char>(roster), {});
  CHECK(text.find("A-10") == std::string::npos);
  CHECK(text.find("A-11") != std::string::npos);
  CHECK(one_sentence(run_command(command).err));
}

TEST_CASE("lab command: who may read is told, set and counted", "[app]") {
  const Folder folder;
  std::ofstream(folder / "roster.csv") << "id,throws\n";
  const std::string lab = folder.path().string();
  auto run = run_command({"lab", "sharing", lab});
  CHECK(run.code == 0);
  says(run.out, "owner: ");
  run = run_command({"lab", "sharing", lab, "group", "--json"});
  CHECK(run.code == 0);
  CHECK(json::parse(run.out)["changed"] >= 2);
  CHECK(json::parse(run_command({"lab", "sharing", lab, "--json"}).out)["sharing"] == "group");
  CHECK(run_command({"lab", "sharing", lab, "everybody"}).code != 0);
  run = run_command({"lab", "sharing", (folder / "none").string(), "owner"});
  CHECK(run.code == 1);
  CHECK(one_sentence(run.err));
}

TEST_CASE("lab command: the time zone is told and set, and other settings stay", "[app]") {
  const Folder folder;
  const std::string lab = folder.path().string();
  std::ofstream(folder / "lab.toml") << "next_id = 12\n";
  auto run = run_command({"lab", "zone", lab});
  CHECK(run.code == 0);
  says(run.out, "this computer's");
  run = run_command({"lab", "zone", lab, "Asia/Kathmandu"});
  CHECK(run.code == 0);
  CHECK(json::parse(run_command({"lab", "zone", lab, "--json"}).out)["zone"] == "Asia/Kathmandu");
  run = run_command({"lab", "zone", lab, "Mars/Olympus"});
  CHECK(run.code == 1);
  CHECK(one_sentence(run.err));
  CHECK(json::parse(run_command({"lab", "zone", lab, "--json"}).out)["zone"] == "Asia/Kathmandu");
  const auto settled = moundwork::read_lab_file(folder.path());
  REQUIRE(settled);
  CHECK(settled->next_id == 12);
}
