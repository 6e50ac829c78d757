// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/people/day_throws.h"

#include <H5Cpp.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "core/session/results.h"
#include "core/session/writer.h"
#include "support/folder.h"
#include "support/session_example.h"

using namespace moundwork;

namespace {

session::Session session_at(const std::string& id, const std::string& started,
                            const std::string& athlete = "A-01") {
  session::Session made = support::example_session();
  made.id = id;
  made.started = started;
  made.athlete.id = athlete;
  return made;
}

void write(const std::filesystem::path& path, const session::Session& session, int throws) {
  auto writer = session::Writer::create(path, session);
  REQUIRE(writer);
  REQUIRE(writer->close());
  if (throws < 0) return;
  session::ResultSet results;
  results.made = "2026-03-02T09:00:00Z";
  results.settings = "{}";
  for (int number = 1; number <= throws; ++number) {
    session::ResultThrow one;
    one.number = number;
    one.contact = session_time(10.0 * number);
    results.throws.push_back(one);
  }
  REQUIRE(session::append_results(path, results));
}

}  // namespace

TEST_CASE("an athlete's day is counted over all of its sessions, each once", "[people]") {
  const support::Folder folder;
  // The example's place is an hour ahead of UTC: half past eleven in the evening is the next day.
  const auto here = session_at("one", "2026-03-01T09:30:00Z");
  write(folder / "one.h5", here, 18);
  write(folder / "two.h5", session_at("two", "2026-03-01T15:00:00Z"), 20);
  write(folder / "late.h5", session_at("late", "2026-03-01T23:30:00Z"), 7);
  session::Session other = session_at("other", "2026-03-01T10:00:00Z", "A-02");
  other.athlete.name = "Ottilie Vance";
  write(folder / "other.h5", other, 9);
  write(folder / "new.h5", session_at("new", "2026-03-01T16:00:00Z"), -1);
  std::filesystem::copy_file(folder / "two.h5", folder / "copy of two.h5");
  session::Session twin = session_at("twin", "2026-03-01T11:00:00Z");
  twin.athlete.born = "1990-01-01";
  write(folder / "twin.h5", twin, 5);

  // However the file is named, wherever in the folder it lies, however the id was typed.
  std::filesystem::create_directories(folder / "afternoon");
  write(folder / "afternoon" / "three.H5", session_at("three", "2026-03-01T17:00:00Z", "a-01 "), 3);
  session::Session unnamed = session_at("four", "2026-03-01T18:00:00Z", "");
  write(folder / "four.h5", unnamed, 4);
  // Two recordings of one identity are two all the same.
  write(folder / "again.h5", session_at("one", "2026-03-01T19:00:00Z"), 11);
  std::ofstream(folder / "broken.h5") << "no longer a session";
  H5::H5File((folder / "foreign.h5").string(), H5F_ACC_TRUNC).close();

  const auto files = people::sessions_around({folder / "one.h5", folder / "two.h5"});
  CHECK(files.size() == 12);
  const people::ThrowsByDay by_day(files);
  const people::DayThrows beside = by_day.beside(here);
  CHECK(beside.sessions == 4);
  CHECK(beside.throws == 20 + 3 + 4 + 11);
  CHECK(beside.unreadable == 1);
  CHECK(beside.unmeasured == 1);
  session::Session nobody = here;
  nobody.athlete = {};
  CHECK(by_day.beside(nobody).throws == 0);
}
