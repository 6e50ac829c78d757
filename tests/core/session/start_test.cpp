// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/start.h"

#include <catch2/catch.hpp>
#include <filesystem>

#include "core/base/lab_file.h"
#include "core/session/reader.h"
#include "core/session/writer.h"
#include "support/folder.h"
#include "support/session_example.h"
#include "support/time_zone.h"

using namespace moundwork;
using support::example_session;
using support::Folder;

namespace {

session::Session written(const session::Session& session, const std::filesystem::path& path) {
  auto writer = session::Writer::create(path, session);
  REQUIRE(writer);
  REQUIRE(writer->close());
  const auto reader = session::Reader::open(path);
  REQUIRE(reader);
  return reader->session();
}

}  // namespace

// Clocks from GNU date.
TEST_CASE("a session's day is that of its own zone wherever it is read", "[session]") {
  const Folder folder;
  session::Session session = example_session();
  session::set_start(session, from_iso_text("2026-07-05T02:30:00Z").value(), "America/Los_Angeles");
  for (const char* place : {"Asia/Kathmandu", "UTC", "America/Los_Angeles"}) {
    const support::TimeZone here(place);
    const auto read = written(session, folder / (std::string(place).substr(0, 3) + ".h5"));
    CHECK(read.started == "2026-07-05T02:30:00.000000Z");
    CHECK(read.zone.name == "America/Los_Angeles");
    CHECK(read.zone.utc_offset_s == -7 * 3600);
    CHECK_FALSE(read.zone.assumed);
    CHECK(session::day_of(read) == "2026-07-04");
    CHECK(session::local_start(read) == "2026-07-04T19:30:00");
  }
}

TEST_CASE("a zone that this computer does not know still has its day", "[session]") {
  const Folder folder;
  session::Session session = example_session();
  session.started = "2026-07-05T02:30:00Z";
  session.zone = {"Mars/Olympus", -7 * 3600, false};
  const auto read = written(session, folder / "a.h5");
  CHECK(session::day_of(read) == "2026-07-04");
  CHECK(session::local_text("2026-07-05T03:00:00Z", read.zone) == "2026-07-04T20:00:00");
}

TEST_CASE("a session of a file without a zone takes the lab's, else this computer's", "[session]") {
  const Folder folder;
  const support::TimeZone here("Asia/Kathmandu");
  session::Session session = example_session();
  session.started = "2026-07-04T18:15:00Z";
  session.zone = {};
  auto read = written(session, folder / "a.h5");
  CHECK(read.zone.name == "Asia/Kathmandu");
  CHECK(read.zone.assumed);
  CHECK(session::local_start(read) == "2026-07-05T00:00:00");
  REQUIRE(set_in_lab_file(folder.path(), "zone", "America/Los_Angeles"));
  read = session::Reader::open(folder / "a.h5")->session();
  CHECK(read.zone.name == "America/Los_Angeles");
  CHECK(read.zone.assumed);
  CHECK(session::day_of(read) == "2026-07-04");
  // What was assumed is not written down as if it had been noted.
  read = written(read, folder / "copy.h5");
  CHECK(read.zone.assumed);
}

TEST_CASE("on the night the clock goes back each half past two has its own offset", "[session]") {
  session::Session before, after;
  session::set_start(before, from_iso_text("2026-10-25T00:30:00Z").value(), "Europe/Paris");
  session::set_start(after, from_iso_text("2026-10-25T01:30:00Z").value(), "Europe/Paris");
  CHECK(before.zone.utc_offset_s == 7200);
  CHECK(after.zone.utc_offset_s == 3600);
  CHECK(session::local_start(before) == session::local_start(after));
  // An edit made after the clock went back, in a session begun before.
  CHECK(session::local_text("2026-10-25T01:10:00Z", before.zone) == "2026-10-25T02:10:00");
}

TEST_CASE("a start that is no time stays as it is written", "[session]") {
  session::Session session;
  session.zone = {"UTC", 3600, false};
  for (const char* text : {"", "in May", "2026-05-04"}) {
    session.started = text;
    CHECK(session::local_start(session) == text);
  }
}
