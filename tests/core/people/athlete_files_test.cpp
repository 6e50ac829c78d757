// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/people/athlete_files.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <set>

#include "core/output/hdf5_tables.h"
#include "core/people/athlete_ids.h"
#include "core/people/id_uses.h"
#include "core/session/companion.h"
#include "core/session/edit_list.h"
#include "core/session/file_lock.h"
#include "core/session/writer.h"
#include "support/folder.h"
#include "support/session_example.h"

using namespace moundwork;
using namespace moundwork::people;
namespace fs = std::filesystem;

namespace {

void write_session(const fs::path& path, const std::string& session_id, const std::string& athlete,
                   const std::string& name, const std::string& born = "2010-05-06") {
  session::Session session = support::example_session();
  session.id = session_id;
  session.athlete.id = athlete;
  session.athlete.name = name;
  session.athlete.born = born;
  auto writer = session::Writer::create(path, session);
  REQUIRE(writer);
  REQUIRE(writer->close());
}

constexpr const char* one = "5b9f7c6e-0000-4000-8000-000000000001";
constexpr const char* two = "77aa00bb-0000-4000-8000-000000000002";

struct Lab {
  support::Folder folder;
  Lab() {
    for (const char* sub : {"sessions", "summaries/tables/traces", "weigh-ins",
                            "sessions/.2026-05-04-A01-1.h5.continue"})
      fs::create_directories(folder / sub);
    write_session(folder / "sessions/2026-05-04-A01-1.h5", one, "A01", "Quilla Ostran");
    write_session(folder / "sessions/2026-05-04-A01-10.h5", two, "A02", "Tobin Varr");
    std::ofstream(folder / "roster.csv")
        << "id,name,throws\nA01,Quilla Ostran,left\nA02,Tobin Varr,right\n";
    for (const char* file :
         {"sessions/2026-05-04-A01-1.results.hdf5", "sessions/2026-05-04-A01-10.results.hdf5",
          "sessions/2026-05-04-A01-1.results.hdf5.of-another-session",
          "sessions/2026-05-04-A01-1.h5.recording", "summaries/2026-05-04-A01-1.summary.pdf.part",
          "sessions/.2026-05-04-A01-1.h5.continue/2026-05-04-A01-1.h5",
          "summaries/2026-05-04-A01-1.summary.pdf", "summaries/2026-05-04-A01-10.summary.pdf",
          "summaries/cover-sheet.pdf",
          "summaries/tables/traces/A01_2026-05-04_5b9f7c6e_throw-01_back.csv",
          "summaries/tables/traces/A02_2026-05-04_77aa00bb_throw-01_back.csv"})
      std::ofstream(folder / file) << "x";
    std::ofstream(folder / "sessions/2026-05-05-A01-1.h5.part") << "....A01....";
    std::ofstream(folder / "summaries/tables/throws.csv")
        << "athlete,session,throw\nA01," << one << ",1\nA02," << two << ",1\n";
    std::ofstream(folder / "summaries/tables/own.csv") << "athlete,throw\nA01,1\n";
    std::ofstream(folder / "weigh-ins/2026-05-04-A01-1.toml") << "athlete = \"A01\"\n";
    std::ofstream(folder / "weigh-ins/2026-05-04-A02-1.toml") << "athlete = \"A02\"\n";
  }
};

}  // namespace

TEST_CASE("a lab's folder is looked through for all that is of one athlete", "[people]") {
  const Lab lab;
  const auto found = find_files_of(lab.folder.path(), "A01");
  REQUIRE(found);
  std::set<std::string> files;
  for (const AthleteFile& file : found->files)
    files.insert(file.path.lexically_relative(lab.folder.path()).string());
  CHECK(files == std::set<std::string>{
                     "sessions/2026-05-04-A01-1.h5", "sessions/2026-05-04-A01-1.results.hdf5",
                     "sessions/2026-05-04-A01-1.h5.recording",
                     "sessions/.2026-05-04-A01-1.h5.continue/2026-05-04-A01-1.h5",
                     "sessions/2026-05-05-A01-1.h5.part", "summaries/2026-05-04-A01-1.summary.pdf",
                     "summaries/2026-05-04-A01-1.summary.pdf.part",
                     "summaries/tables/traces/A01_2026-05-04_5b9f7c6e_throw-01_back.csv",
                     "summaries/tables/own.csv", "weigh-ins/2026-05-04-A01-1.toml"});
  std::set<std::string> shared;
  for (const auto& file : found->shared) shared.insert(file.filename().string());
  // Whose results those are that were set aside, this file does not say.
  CHECK(shared == std::set<std::string>{"throws.csv", "cover-sheet.pdf",
                                        "2026-05-04-A01-1.results.hdf5.of-another-session"});
  CHECK(found->on_roster);
  CHECK(found->files.back().kind == FileKind::session);
  const auto begins_so = find_files_of(lab.folder.path(), "A0");
  REQUIRE(begins_so);
  CHECK(begins_so->files.empty());
  const auto nobody = find_files_of(lab.folder.path(), "A99");
  REQUIRE(nobody);
  CHECK(nobody->files.empty());
  CHECK(nobody->shared.empty());
}

TEST_CASE(
    "results that were set aside go with whom they are of, not with whose name they lie under",
    "[people]") {
  const support::Folder folder;
  const auto session = folder / "day.h5";
  write_session(session, one, "A01", "Quilla Ostran");
  session::Edit tag;
  tag.action = session::Action::tag;
  REQUIRE(session::append_edit(session, tag));
  const auto aside = session::set_companion_aside(session);
  REQUIRE(aside);
  fs::remove(session);
  write_session(session, two, "A02", "Tobin Varr");
  const auto files_of = [&](const char* athlete, const std::set<std::string>& sessions = {}) {
    const auto found = find_files_of(folder.path(), athlete, sessions);
    REQUIRE(found);
    CHECK(found->shared.empty());
    std::set<fs::path> files;
    for (const AthleteFile& file : found->files) files.insert(file.path);
    return files;
  };
  CHECK(files_of("A01") == std::set<fs::path>{*aside});
  CHECK(files_of("A02") == std::set<fs::path>{session});
  // By the session that an index has known, where the athlete's id has changed since.
  CHECK(files_of("A07", {one}) == std::set<fs::path>{*aside});
}

TEST_CASE("sessions under other endings and tables of one athlete alone are found by content",
          "[people]") {
  const support::Folder folder;
  write_session(folder / "day.h5", one, "A01", "Quilla Ostran");
  fs::rename(folder / "day.h5", folder / "day.bak");
  const output::Table own{"throws",
                          {{"athlete", "", "who", std::vector<std::string>{"A01", "A01"}}}};
  const output::Table both{"throws",
                           {{"athlete", "", "who", std::vector<std::string>{"A01", "A02"}}}};
  REQUIRE(output::write_hdf5(std::vector{own}, folder / "own.hdf5"));
  REQUIRE(output::write_hdf5(std::vector{both}, folder / "both.hdf5"));
  const auto found = find_files_of(folder.path(), "A01");
  REQUIRE(found);
  std::set<std::string> files;
  for (const AthleteFile& file : found->files) files.insert(file.path.filename().string());
  CHECK(files.contains("day.bak"));
  CHECK(files.contains("own.hdf5"));
  CHECK_FALSE(files.contains("both.hdf5"));
  REQUIRE(found->shared.size() == 1);
  CHECK(found->shared.front().filename() == "both.hdf5");
}

TEST_CASE("a roster that cannot be read is said, since its row might be the athlete's",
          "[people]") {
  const support::Folder folder;
  std::ofstream(folder / "roster.csv") << "id,name,throws\nA01,Quilla Ostran,\n";
  const auto found = find_files_of(folder.path(), "A01");
  REQUIRE_FALSE(found);
  CHECK(found.error().where.find("roster.csv") != std::string::npos);
}

TEST_CASE("somebody of the same name under another id is shown, not deleted", "[people]") {
  const support::Folder folder;
  write_session(folder / "a.h5", one, "A01", "Quilla Ostran");
  write_session(folder / "b.h5", two, "A-01", "OSTRAN, Quilla");
  const auto found = find_files_of(folder.path(), "A01");
  REQUIRE(found);
  REQUIRE(found->files.size() == 1);
  CHECK(found->files.front().path.filename() == "a.h5");
  CHECK(found->perhaps == std::vector<fs::path>{folder / "b.h5"});
}

TEST_CASE("results under a session's name that another session's are stay with that session",
          "[people]") {
  const support::Folder folder;
  const auto session = folder / "day.h5", other = folder / "other.h5";
  write_session(session, one, "A01", "Quilla Ostran");
  write_session(other, two, "A02", "Tobin Varr");
  session::Edit tag;
  tag.action = session::Action::tag;
  REQUIRE(session::append_edit(other, tag));
  // Copied under the wrong name by hand.
  const auto copied = session::companion_path(session);
  fs::copy_file(session::companion_path(other), copied);
  const auto files_of = [&](const char* athlete) {
    const auto found = find_files_of(folder.path(), athlete);
    REQUIRE(found);
    CHECK(found->shared.empty());
    std::set<fs::path> files;
    for (const AthleteFile& file : found->files) files.insert(file.path);
    return files;
  };
  CHECK(files_of("A01") == std::set<fs::path>{session});
  CHECK(files_of("A02") == std::set<fs::path>{other, session::companion_path(other), copied});
  CHECK(is_of_another(copied, one));
  CHECK_FALSE(is_of_another(copied, two));
  CHECK_FALSE(is_of_another(folder / "none.results.hdf5", one));
}

TEST_CASE("a session that records is not deleted, nor another under its name", "[people]") {
  const Lab lab;
  const fs::path session = lab.folder / "sessions/2026-05-04-A01-1.h5";
  std::vector<std::string> deleted;
  {
    const auto recording = session::FileLock::acquire(session);
    REQUIRE(recording);
    CHECK_FALSE(delete_files(session, one, {session}, deleted).empty());
  }
  CHECK_FALSE(delete_files(session, two, {session}, deleted).empty());
  CHECK(fs::exists(session));
  CHECK(deleted.empty());
  CHECK(delete_files(session, one, {session}, deleted).empty());
  CHECK_FALSE(fs::exists(session));
  CHECK(deleted.size() == 1);
}

TEST_CASE("who is taken off the roster leaves an id that nobody gets", "[people]") {
  const support::Folder folder;
  std::ofstream(folder / "roster.csv") << "id,name,throws\nA07,Quilla Ostran,left\n";
  CHECK(*take_off_roster(folder.path(), "A07"));
  CHECK_FALSE(*take_off_roster(folder.path(), "A07"));
  CHECK(next_number(folder.path(), {}) == 8);
}

TEST_CASE("sessions of another person under an athlete's id are remarked on", "[people]") {
  const support::Folder folder;
  fs::create_directories(folder / "sessions");
  write_session(folder / "sessions/a.h5", one, "A01", "Old Pupil", "2009-01-01");
  const auto uses = id_uses(folder.path());
  RosterAthlete kid;
  kid.id = "A01";
  kid.name = "New Kid";
  kid.born = "2012-03-04";
  const std::string words = two_people_words(kid, uses);
  CHECK(words.find("Old Pupil, born 2009-01-01") != std::string::npos);
  kid.name = "Old Pupil";
  kid.born = "2009-01-01";
  CHECK(two_people_words(kid, uses).empty());
}
