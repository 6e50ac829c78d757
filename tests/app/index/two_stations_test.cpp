// SPDX-License-Identifier: GPL-3.0-or-later
// Several stations write at once: processes of their own, as stations are.
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <catch2/catch.hpp>

#include "app/index/engines.h"
#include "app/index/migrations.h"
#include "app/index/schema.h"
#include "app/index/store.h"

using namespace moundwork;
using namespace Qt::StringLiterals;

namespace {

constexpr int sessions_each = 100;
constexpr int throws_each = 100;  // in a session: 10,000 a station

// A session without a file: what its throws hold follows from their numbers.
index::SessionEntry entry_of(const std::string& station, int number) {
  index::SessionEntry entry;
  entry.path = "/data/" + station + "/" + std::to_string(number) + ".h5";
  entry.id = station + "-" + std::to_string(number);
  // Both stations see the same athletes.
  entry.athlete.id = "athlete-" + std::to_string(number % 7);
  entry.athlete.born = "2008-01-01";
  entry.started = "2026-03-01T09:30:00Z";
  entry.made = "2026-03-01T12:00:00Z";
  entry.throws.resize(throws_each);
  for (int t = 0; t < throws_each; ++t) {
    entry.throws[t].number = t + 1;
    entry.throws[t].contact = 10.0 * t;
    for (auto& quantity : entry.throws[t].quantities)
      quantity = {static_cast<double>(number * throws_each + t), 0.5};
  }
  return entry;
}

// Exit code 0 when all went in.
[[noreturn]] void be_a_station(const std::string& address, const std::string& name,
                               const std::string& prefix) {
  int code = 1;
  try {
    // Opening races too: both may find an empty database.
    auto index = test::open_at(address);
    index.station = name;
    code = 0;
    for (int s = 0; s < sessions_each && code == 0; ++s)
      if (const auto done = index::put(index, entry_of(prefix, s)); !done) {
        std::fprintf(stderr, "%s: %s\n", name.c_str(), done.error().sentence().c_str());
        code = 2;
      }
  } catch (const std::exception& problem) {
    std::fprintf(stderr, "%s: %s\n", name.c_str(), problem.what());
  }
  _exit(code);
}

void run_two_stations(const std::string& address, const std::array<std::string, 2>& prefixes) {
  std::array<pid_t, 2> stations{};
  for (std::size_t i = 0; i < stations.size(); ++i) {
    stations[i] = fork();
    REQUIRE(stations[i] >= 0);
    if (stations[i] == 0) be_a_station(address, i == 0 ? "north" : "south", prefixes[i]);
  }
  for (const pid_t station : stations) {
    int status = -1;
    REQUIRE(waitpid(station, &status, 0) == station);
    CHECK(status == 0);
  }
}

double sum(const index::Index& index, const QString& what) {
  auto found = run(index.connection, u"SELECT sum(%1) FROM throws"_s.arg(what));
  REQUIRE(found);
  REQUIRE(found->next());
  return found->value(0).toDouble();
}

}  // namespace

TEST_CASE("lab: two stations write 10,000 throws each at once and lose none", "[app][index]") {
  test::on_each_engine([](const std::string& address) {
    run_two_stations(address, {"north", "south"});
    const auto index = test::open_at(address, index::Access::read);
    constexpr int all = 2 * sessions_each * throws_each;
    CHECK(test::count(index, "sessions") == 2 * sessions_each);
    CHECK(test::count(index, "throws") == all);
    CHECK(test::count(index, "means") == 2 * sessions_each * int(definitions::quantity_count));
    CHECK(test::count(index, "athletes") == 7);
    // 0 + 1 + ... + 9999, twice; the last column says that rows are whole.
    CHECK(sum(index, u"ball_speed"_s) == 9999.0 * 10000.0);
    CHECK(sum(index, u"balance_sway_area"_s) == 9999.0 * 10000.0);
  });
}

TEST_CASE("lab: two stations enter copies of the same sessions at once", "[app][index]") {
  test::on_each_engine([](const std::string& address) {
    run_two_stations(address, {"same", "same"});
    const auto index = test::open_at(address, index::Access::read);
    CHECK(test::count(index, "sessions") == sessions_each);
    CHECK(test::count(index, "throws") == sessions_each * throws_each);
    CHECK(test::count(index, "locations") == 2 * sessions_each);
    CHECK(test::count(index, "schema_steps") == index::schema_version());
    CHECK(sum(index, u"ball_speed"_s) == 9999.0 * 10000.0 / 2.0);
  });
}

TEST_CASE("lab: a station killed in the midst leaves whole sessions", "[app][index]") {
  test::on_each_engine([](const std::string& address) {
    {
      const auto index = test::open_at(address);
      REQUIRE(index::put(index, entry_of("north", 0)));
    }
    const pid_t station = fork();
    REQUIRE(station >= 0);
    if (station == 0) be_a_station(address, "south", "south");
    int done = 0;
    for (int i = 0; i < 2000 && done < 5; ++i) {
      usleep(5000);
      done = test::count(test::open_at(address, index::Access::read), "sessions");
    }
    kill(station, SIGKILL);
    waitpid(station, nullptr, 0);
    REQUIRE(done >= 5);
    const auto index = test::open_at(address);
    // Of sessions, throws and means, one without the others would be a half.
    const int sessions = test::count(index, "sessions");
    CHECK(test::count(index, "throws") == sessions * throws_each);
    CHECK(test::count(index, "means") == sessions * int(definitions::quantity_count));
    // Nothing stays locked.
    CHECK(index::put(index, entry_of("north", 1)));
  });
}
