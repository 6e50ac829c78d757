// SPDX-License-Identifier: GPL-3.0-or-later
// How fast an index of many throws is written, and how fast it answers. Fills an empty index with
// invented athletes through the code that enters files, then asks the questions of a summary.
// Usage: index_bench INDEX [THROWS [ATHLETES]]; an index that is full already is only asked.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <functional>
#include <random>
#include <string>
#include <vector>

#include "app/index/queries.h"
#include "app/index/store.h"

namespace {

using namespace moundwork;
using namespace Qt::StringLiterals;
using Clock = std::chrono::steady_clock;

constexpr int throws_per_session = 30;
// One athlete has come every week for ten years.
constexpr int longest_history = 520;

[[noreturn]] void give_up(const Error& error) {
  fmt::print(stderr, "index_bench: {}\n", error.sentence());
  std::exit(1);
}

template <class T>
T need(Result<T> result) {
  if (!result) give_up(result.error());
  return std::move(*result);
}

double seconds_since(Clock::time_point start) {
  return std::chrono::duration<double>(Clock::now() - start).count();
}

int throws_in(const index::Index& index) {
  auto found = need(run(index.connection, u"SELECT count(*) FROM throws"_s));
  return found.next() ? found.value(0).toInt() : 0;
}

index::SessionEntry invented(int number, int athlete, std::mt19937& random) {
  std::normal_distribution<double> spread;
  index::SessionEntry entry;
  entry.id = fmt::format("invented-{:08}", number);
  entry.path = fmt::format("/data/{}/{}.h5", number / 100, entry.id);
  entry.athlete.id = fmt::format("athlete-{:05}", athlete);
  entry.athlete.name = fmt::format("Invented {}", athlete);
  entry.athlete.throws = athlete % 4 == 0 ? session::Hand::left : session::Hand::right;
  entry.athlete.born = fmt::format("{}-{:02}-15", 1995 + athlete % 17, 1 + athlete % 12);
  const int day = number % 3650;
  entry.started = fmt::format("{}-{:02}-{:02}T{:02}:{:02}:00Z", 2016 + day / 365,
                              1 + day % 365 / 31, 1 + day % 28, number / 60 % 24, number % 60);
  entry.made = entry.started;
  entry.throws.resize(throws_per_session);
  for (int t = 0; t < throws_per_session; ++t) {
    entry.throws[t].number = t + 1;
    entry.throws[t].contact = 20.0 * t;
    for (auto& quantity : entry.throws[t].quantities)
      quantity = {35.0 + 0.002 * athlete + spread(random), 0.2};
  }
  return entry;
}

void fill(const index::Index& index, int throws, int athletes) {
  std::mt19937 random(1);
  const int sessions = throws / throws_per_session;
  const auto start = Clock::now();
  for (int s = 0; s < sessions; ++s) {
    const int athlete = s < longest_history ? 0 : 1 + s % (athletes - 1);
    (void)need(index::put(index, invented(s, athlete, random)));
  }
  const double taken = seconds_since(start);
  fmt::print("entered {} throws in {} sessions in {:.0f} s: {:.0f} throws/s\n", throws, sessions,
             taken, throws / taken);
  // A server does this on its own a minute later.
  if (index.connection.engine() == index::Engine::postgresql)
    (void)need(run(index.connection, u"VACUUM ANALYZE"_s));
}

void time_question(const std::string& name, const std::function<std::size_t()>& ask) {
  constexpr int repeats = 20;
  std::vector<double> taken;
  std::size_t rows = 0;
  for (int i = 0; i < repeats; ++i) {
    const auto start = Clock::now();
    rows = ask();
    taken.push_back(1e3 * seconds_since(start));
  }
  const double first = taken.front();
  std::sort(taken.begin(), taken.end());
  fmt::print("{:<58} {:>6} rows  first {:6.1f} ms  median {:6.1f} ms  slowest {:6.1f} ms\n", name,
             rows, first, taken[taken.size() / 2], taken.back());
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) {
    fmt::print(stderr, "Use: index_bench INDEX [THROWS [ATHLETES]]\n");
    return 2;
  }
  const auto index =
      need(index::open_index(need(index::parse_address(argv[1])), index::Access::write));
  const int throws = argc > 2 ? std::atoi(argv[2]) : 1000000;
  const int athletes = argc > 3 ? std::atoi(argv[3]) : 2000;
  if (throws_in(index) == 0) fill(index, throws, std::max(athletes, 2));
  fmt::print("{} throws\n", throws_in(index));

  const auto speed = definitions::Quantity::ball_speed;
  time_question("history, athlete of 520 sessions, one quantity",
                [&] { return need(index::history(index, "athlete-00000", speed)).size(); });
  time_question("history, usual athlete, one quantity",
                [&] { return need(index::history(index, "athlete-00777", speed)).size(); });
  time_question("group, all athletes", [&] { return need(index::group(index, speed, {})).size(); });
  index::GroupFilter filter;
  filter.age_from = 14;
  filter.age_to = 16;
  time_question("group, ages 14 to 16",
                [&] { return need(index::group(index, speed, filter)).size(); });
  filter.throws = session::Hand::left;
  filter.least_throws = 5;
  time_question("group, ages 14 to 16, left-handed, 5 throws or more",
                [&] { return need(index::group(index, speed, filter)).size(); });
  time_question("sessions of one athlete with their places",
                [&] { return need(index::sessions(index, "athlete-00777")).size(); });
  return 0;
}
