// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/forget.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <set>

#include "app/index/engines.h"
#include "app/index/made_session.h"
#include "app/index/store.h"
#include "app/support/run_command.h"
#include "core/session/edit_list.h"
#include "core/session/file_lock.h"
#include "core/session/reader.h"
#include "core/weigh_in/weigh_in_file.h"

using namespace moundwork;
using namespace Qt::StringLiterals;
using std::filesystem::exists;
using test::count;
using test::MadeSession;

namespace {

index::Stored put(const index::Index& index, const std::filesystem::path& file,
                  bool again = false) {
  const auto entry = index::read_entry(file);
  REQUIRE(entry);
  const auto done = index::put(index, *entry, again);
  INFO((done ? "" : done.error().sentence()));
  REQUIRE(done);
  return done->stored;
}

index::Forgotten forget(const index::Index& index, const std::string& athlete) {
  const auto plan = index::plan_forgetting(index, athlete);
  INFO((plan ? "" : plan.error().sentence()));
  REQUIRE(plan);
  const auto done = index::carry_out(index, *plan);
  INFO((done ? "" : done.error().sentence()));
  REQUIRE(done);
  return *done;
}

bool holds(const std::filesystem::path& file, const std::string& text) {
  std::ifstream in(file, std::ios::binary);
  const std::string bytes(std::istreambuf_iterator<char>(in), {});
  return bytes.find(text) != std::string::npos;
}

// Two sessions of A-01, one of A-02, an export of each and one of both.
struct Lab {
  support::Folder folder;
  index::Index index;

  explicit Lab(const std::string& address) : index(test::open_at(address)) {
    MadeSession made;
    made.name = "Quillamara Ostrander";
    write(folder / "a1.h5", made);
    made.id = "a2";
    made.started = "2026-04-01T09:30:00Z";
    write(folder / "a2.h5", made);
    made.id = "b1";
    made.athlete = "A-02";
    made.name = "Tobin Varr";
    write(folder / "b1.h5", made);
    for (const char* file : {"a1.h5", "a2.h5", "b1.h5"}) put(index, folder / file);
    test::require(
        session::append_edit(folder / "a1.h5", test::exclusion(20.0, "2026-03-02T08:00:00Z")));
    put(index, folder / "a1.h5");
    for (const char* file : {"a.pdf", "b.pdf", "day.csv"}) std::ofstream(folder / file) << "x";
    REQUIRE(index::list_export(index, {folder / "a.pdf", "summary", {"A-01"}}));
    REQUIRE(index::list_export(index, {folder / "b.pdf", "summary", {"A-02"}}));
    REQUIRE(index::list_export(index, {folder / "day.csv", "table", {"A-01", "A-02"}}));
  }
};

}  // namespace

TEST_CASE("forget: files, companions, exports and rows go, others' stay", "[app][index]") {
  test::on_each_engine([](const std::string& address) {
    const Lab lab(address);
    std::ofstream(lab.folder / "a1.results.hdf5.part") << "left by a kill";
    const auto plan = index::plan_forgetting(lab.index, "Quillamara Ostrander");
    REQUIRE(plan);
    CHECK(plan->athlete.id == "A-01");
    CHECK(plan->sessions == 2);
    CHECK(plan->throws == 6);
    CHECK(plan->edits == 1);
    REQUIRE(plan->listed.size() == 4);
    CHECK(exists(lab.folder / "a1.h5"));  // a plan changes nothing
    CHECK(count(lab.index, "throws") == 9);

    const auto done = index::carry_out(lab.index, *plan);
    REQUIRE(done);
    CHECK(done->left.empty());
    CHECK(done->deleted.size() == 7);
    for (const char* file : {"a1.h5", "a1.results.hdf5", "a1.results.hdf5.part", "a2.h5",
                             "a2.results.hdf5", "a.pdf", "day.csv"})
      CHECK_FALSE(exists(lab.folder / file));
    for (const char* file : {"b1.h5", "b1.results.hdf5", "b.pdf"}) CHECK(exists(lab.folder / file));
    CHECK(count(lab.index, "athletes") == 1);
    CHECK(count(lab.index, "sessions") == 1);
    CHECK(count(lab.index, "throws") == 3);
    CHECK(count(lab.index, "edits") == 0);
    CHECK(count(lab.index, "means WHERE athlete = 'A-01'") == 0);
    CHECK(count(lab.index, "locations") == 1);
    CHECK(count(lab.index, "exports") == 1);
    CHECK_FALSE(index::find_athlete(lab.index, "A-01"));
  });
}

TEST_CASE("forget: results of another's session under this one's name stay", "[app][index]") {
  const support::Folder home;
  const Lab lab((home / "index.sqlite").string());
  std::filesystem::copy_file(lab.folder / "b1.results.hdf5", lab.folder / "a1.results.hdf5",
                             std::filesystem::copy_options::overwrite_existing);
  CHECK(forget(lab.index, "A-01").left.empty());
  CHECK_FALSE(exists(lab.folder / "a1.h5"));
  CHECK(exists(lab.folder / "a1.results.hdf5"));
  CHECK(exists(lab.folder / "b1.results.hdf5"));
}

TEST_CASE("forget: SQLite's files hold nothing of the athlete afterwards", "[app][index]") {
  const support::Folder home;
  const std::string address = (home / "index.sqlite").string();
  const Lab lab(address);
  const auto anywhere = [&](const std::string& text) {
    return holds(address, text) || holds(address + "-wal", text);
  };
  REQUIRE(anywhere("Quillamara Ostrander"));
  REQUIRE(anywhere("slipped on the landing"));
  CHECK(forget(lab.index, "A-01").remarks.empty());
  CHECK_FALSE(anywhere("Quillamara Ostrander"));
  CHECK_FALSE(anywhere("slipped on the landing"));
  CHECK_FALSE(anywhere("A-01"));
  CHECK(anywhere("Tobin Varr"));
}

TEST_CASE("forget: what cannot be reached stays listed with its reason, without a number",
          "[app][index]") {
  test::on_each_engine([](const std::string& address) {
    Lab lab(address);
    // A copy on a disk that is not there now, and one on another station.
    REQUIRE(run(lab.index.connection,
                u"INSERT INTO locations (session, station, path, seen, bytes) VALUES "
                "('a2', ?, '/media/gone-disk/a2.h5', '2026', 1)"_s,
                {QString::fromStdString(lab.index.station)}));
    REQUIRE(run(lab.index.connection,
                u"INSERT INTO locations (session, station, path, seen, bytes) VALUES "
                "('a2', ?, '/data/a2.h5', '2026', 1)"_s,
                {u"south"_s}));
    auto done = forget(lab.index, "A-01");
    REQUIRE(done.left.size() == 2);
    CHECK_FALSE(exists(lab.folder / "a2.h5"));
    // One session and an id are left to find the rest by.
    CHECK(count(lab.index, "sessions WHERE athlete = 'A-01'") == 1);
    CHECK(count(lab.index, "throws") == 3);
    CHECK(count(lab.index, "means WHERE athlete = 'A-01'") == 0);
    CHECK(count(lab.index, "athletes WHERE name = 'Quillamara Ostrander'") == 0);
    const auto listed = index::sessions(lab.index, "A-01");
    REQUIRE(listed);
    REQUIRE(listed->size() == 1);
    REQUIRE((*listed)[0].locations.size() == 2);
    for (const auto& location : (*listed)[0].locations) CHECK_FALSE(location.problem.empty());
    const auto athlete = index::find_athlete(lab.index, "A-01");
    REQUIRE(athlete);
    CHECK_FALSE(athlete->forgotten.empty());

    // On the other station its file is found gone, or deleted; the disk is still away.
    lab.index.station = "south";
    const support::Folder other;
    REQUIRE(run(lab.index.connection, u"UPDATE locations SET path = ? WHERE station = 'south'"_s,
                {QString::fromStdString((other / "a2.h5").string())}));
    done = forget(lab.index, "A-01");
    REQUIRE(done.left.size() == 1);
    CHECK(done.left[0].path == "/media/gone-disk/a2.h5");
    REQUIRE(run(lab.index.connection, u"DELETE FROM locations WHERE session = ?"_s, {u"a2"_s}));
    CHECK(forget(lab.index, "A-01").left.empty());
    CHECK_FALSE(index::find_athlete(lab.index, "A-01"));
  });
}

TEST_CASE("forget: a file that is in use or not the athlete's is not deleted", "[app][index]") {
  const support::Folder home;
  const Lab lab((home / "index.sqlite").string());
  // a1 is being written, a2's name has been taken by another athlete, a.pdf has become a folder.
  {
    const auto lock = session::FileLock::acquire(lab.folder / "a1.h5");
    REQUIRE(lock);
    std::filesystem::remove(lab.folder / "a2.results.hdf5");
    std::filesystem::remove(lab.folder / "a2.h5");
    MadeSession other;
    other.id = "taken";
    other.athlete = "A-03";
    write(lab.folder / "a2.h5", other);
    std::filesystem::remove(lab.folder / "a.pdf");
    std::filesystem::create_directory(lab.folder / "a.pdf");
    const auto done = forget(lab.index, "A-01");
    REQUIRE(done.left.size() == 2);
    CHECK(done.left[0].problem.find("another program is writing") != std::string::npos);
    CHECK(done.left[1].problem.find("folder") != std::string::npos);
    REQUIRE(done.not_ours.size() == 1);
    CHECK(exists(lab.folder / "a2.h5"));
    CHECK(exists(lab.folder / "a1.h5"));
    CHECK(exists(lab.folder / "a1.results.hdf5"));
    CHECK_FALSE(exists(lab.folder / "day.csv"));
  }
  std::filesystem::remove(lab.folder / "a.pdf");
  CHECK(forget(lab.index, "A-01").left.empty());
  CHECK_FALSE(exists(lab.folder / "a1.h5"));
  CHECK(exists(lab.folder / "a2.h5"));
}

TEST_CASE("forget: a copy that turns up later does not bring the athlete back", "[app][index]") {
  test::on_each_engine([](const std::string& address) {
    const Lab lab(address);
    const support::Folder backup;
    for (const char* file : {"a1.h5", "a1.results.hdf5"})
      std::filesystem::copy_file(lab.folder / file, backup / file);
    (void)forget(lab.index, "A-01");
    CHECK(put(lab.index, backup / "a1.h5") == index::Stored::forgotten);
    CHECK(count(lab.index, "athletes") == 1);
    // Only on purpose.
    CHECK(put(lab.index, backup / "a1.h5", true) == index::Stored::added);
    CHECK(put(lab.index, backup / "a1.h5") == index::Stored::replaced);
    CHECK(count(lab.index, "athletes") == 2);
  });
}

TEST_CASE("forget: what lies beside a session under its name goes too, and others' stays",
          "[app][index]") {
  const support::Folder home;
  const Lab lab((home / "index.sqlite").string());
  std::filesystem::create_directory(lab.folder / "weigh-ins");
  const auto weigh = [&](const char* name, const char* athlete) {
    weigh_in::WeighIn weigh_in;
    weigh_in.athlete = athlete;
    weigh_in.mass = {80.0, 0.1};
    REQUIRE(weigh_in::write_weigh_in(lab.folder / "weigh-ins" / name, weigh_in));
  };
  weigh("2026-03-01-A-01-1.toml", "A-01");
  weigh("2026-03-01-A-02-1.toml", "A-02");
  std::ofstream(lab.folder / "weigh-ins" / "notes.toml") << "not = [a weigh-in";
  const std::vector<const char*> go{
      "a1.truth.json",   "a1.truth.json.part", "a1.summary.html", "a1.summary.pdf.part",
      "a1.h5.recording", "a.pdf.part",         "a2.summary.pdf",  ".a1.h5.continue/a1.h5"};
  std::filesystem::create_directory(lab.folder / ".a1.h5.continue");
  const std::vector<const char*> stay{"b1.truth.json", "a1.notes.txt", "a10.truth.json"};
  for (const auto& list : {go, stay})
    for (const char* name : list) std::ofstream(lab.folder / name) << "x";
  // A page that the index lists is shown and counted once.
  REQUIRE(index::list_export(lab.index, {lab.folder / "a2.summary.pdf", "summary", {"A-01"}}));

  const auto done = forget(lab.index, "A-01");
  CHECK(done.left.empty());
  CHECK_FALSE(std::filesystem::exists(lab.folder / ".a1.h5.continue"));
  for (const char* name : go) {
    CAPTURE(name);
    CHECK_FALSE(exists(lab.folder / name));
  }
  for (const char* name : stay) {
    CAPTURE(name);
    CHECK(exists(lab.folder / name));
  }
  CHECK_FALSE(exists(lab.folder / "weigh-ins" / "2026-03-01-A-01-1.toml"));
  CHECK(exists(lab.folder / "weigh-ins" / "2026-03-01-A-02-1.toml"));
  CHECK(exists(lab.folder / "weigh-ins" / "notes.toml"));
  // Two sessions with companions, two exports, what was made here, one weigh-in and the folder of
  // the copy; each once.
  CHECK(done.deleted.size() == 4 + 2 + go.size() + 2);
  const std::set<std::string> each(done.deleted.begin(), done.deleted.end());
  CHECK(each.size() == done.deleted.size());
}

TEST_CASE("forget: of a simulated session nothing is left that any command wrote", "[app][index]") {
  const support::Folder folder;
  const std::string session = (folder / "one.h5").string();
  const std::string index = (folder / "index.sqlite").string();
  const auto command = [](const std::vector<std::string>& arguments) {
    const auto run = test::run_command(arguments);
    CAPTURE(run.err);
    REQUIRE(run.code == 0);
    return run.out;
  };
  command({"simulate", "--session", "--out", session, "--pitches", "1"});
  command({"analyse", session});
  command({"index", "add", session, "--index", index});
  command({"summarise", session});  // without the index, which thus does not list the pages
  REQUIRE(exists(folder / "one.truth.json"));
  const auto reader = session::Reader::open(session);
  REQUIRE(reader);
  command({"forget", reader->session().athlete.id, "--index", index, "--yes"});
  for (const auto& left : std::filesystem::directory_iterator(folder.path())) {
    CAPTURE(left.path());
    CHECK(left.path().filename().string().starts_with("index.sqlite"));
  }
}
