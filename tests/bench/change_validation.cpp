// SPDX-License-Identifier: GPL-3.0-or-later
// How often a change between two days is told where nothing changed, and how often where one number
// did, on simulated athletes whose truth is known. Prints the tables that docs/relate.md shows.
#include <fmt/format.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "core/base/random.h"
#include "core/relate/change.h"

namespace {

using namespace moundwork;

constexpr int numbers = 5;  // judged at once, as on the page
constexpr std::uint64_t table_seed = 20260502;

// All in standard deviations from throw to throw.
struct World {
  int retested = 0;
  double day = 0.0;               // SD from day to day
  double measurement = 0.0;       // SD and standard uncertainty of what a day's throws share
  bool same_measurement = false;  // it is the same error on all days
  double change = 0.0;            // of the last number, of the athlete who is judged
  int throws = 15;                // a day, of the athlete who is judged
  int retest_throws = 15;
};

class Lab {
 public:
  Lab(const World& world, Random& random) : world_(world), random_(random) {
    for (int i = 1; i < numbers; ++i) pitches_.quantities.push_back({fmt::format("q{}", i), ""});
    add("judged", world.throws, world.change);
    for (int i = 0; i < world.retested; ++i) {
      const std::string other = fmt::format("other {}", i);
      add(other, world.retest_throws, 0.0);
      pitches_.retests.push_back({other, "two", "one"});
    }
  }
  [[nodiscard]] const relate::Pitches& pitches() const { return pitches_; }

 private:
  void add(const std::string& athlete, int throws, double change) {
    std::array<double, numbers> own{};
    std::array<double, numbers> lasting{};
    for (int i = 0; i < numbers; ++i) {
      own[static_cast<std::size_t>(i)] = random_.normal(100.0, 10.0);
      lasting[static_cast<std::size_t>(i)] = random_.normal(0.0, world_.measurement);
    }
    for (const char* session : {"one", "two"}) {
      std::array<double, numbers> level = own;
      for (std::size_t i = 0; i < numbers; ++i)
        level[i] +=
            random_.normal(0.0, world_.day) +
            (world_.same_measurement ? lasting[i] : random_.normal(0.0, world_.measurement));
      if (std::string(session) == "two") level[numbers - 1] += change;
      for (int i = 0; i < throws; ++i) {
        relate::Pitch pitch;
        pitch.athlete = athlete;
        pitch.session = session;
        pitch.shared_u.assign(numbers, world_.measurement);
        pitch.ball_speed.value = level[0] + random_.normal();
        for (std::size_t q = 1; q < numbers; ++q)
          pitch.quantities.push_back({level[q] + random_.normal(), world_.measurement});
        pitches_.rows.push_back(std::move(pitch));
      }
    }
  }

  World world_;
  Random& random_;
  relate::Pitches pitches_;
};

struct Told {
  double without = 0.0;  // % of worlds with a false change told without a reservation
  double with = 0.0;     // the same with one
  double found = 0.0;    // % in which the one true change is told, either way
};

Told told(const World& world, int runs) {
  int without = 0;
  int with = 0;
  int found = 0;
  for (int run = 0; run < runs; ++run) {
    Random random(table_seed, static_cast<std::uint64_t>(run));
    const Lab lab(world, random);
    relate::ChangeRequest request;
    request.athletes = {"judged"};
    const auto report = relate::find_changes(lab.pitches(), request, {});
    bool plainly = false;
    bool reserved = false;
    for (int i = 0; i < numbers; ++i) {
      const auto word = report->changes[static_cast<std::size_t>(i)].word;
      const bool days = word == relate::ChangeWord::beyond_days;
      const bool scatter = word == relate::ChangeWord::beyond_scatter;
      if (world.change != 0.0 && i == numbers - 1) {
        found += days || scatter ? 1 : 0;
        continue;
      }
      plainly = plainly || days;
      reserved = reserved || scatter;
    }
    without += plainly ? 1 : 0;
    with += reserved ? 1 : 0;
  }
  const double each = 100.0 / runs;
  return {each * without, each * with, each * found};
}

constexpr std::array<int, 4> labs{0, 5, 8, 20};

void row(const std::string& name, World world, int runs) {
  fmt::print("| {} |", name);
  for (const int retested : labs) {
    world.retested = retested;
    const Told share = told(world, runs);
    const double false_ones = retested == 0 ? share.with : share.without;
    if (world.change == 0.0)
      fmt::print(" {:.1f} |", false_ones);
    else
      fmt::print(" {:.1f}, {:.0f} |", false_ones, share.found);
    if (retested == 0 ? share.without > 0.0 : share.with > 0.0)
      fmt::print(stderr, "a word that this world should not have\n");
  }
  fmt::print("\n");
  std::fflush(stdout);
}

}  // namespace

int main(int argc, char** argv) {
  const int runs = argc > 1 ? std::atoi(argv[1]) : 1000;
  if (runs < 10) {
    fmt::print(stderr, "usage: {} [RUNS], at least 10\n", argv[0]);
    return 1;
  }
  constexpr std::array<double, 5> days{0.0, 0.25, 0.5, 1.0, 2.0};
  const auto head = [&](const char* what) {
    fmt::print(
        "\n| {} | no retests: with the reservation | 5 others retested | 8 | 20 |\n"
        "|---|---|---|---|---|\n",
        what);
  };
  fmt::print("{} worlds each\n", runs);
  head("nothing changed: a change told of any of five numbers, % of worlds");
  for (const double measurement : {0.0, 0.5})
    for (const double day : days) {
      World world;
      world.day = day;
      world.measurement = measurement;
      row(fmt::format("days {}{}", day, measurement > 0.0 ? ", measurement 0.5" : ""), world, runs);
    }
  for (const double day : days) {
    World world;
    world.day = day;
    world.measurement = 0.5;
    world.same_measurement = true;
    row(fmt::format("days {}, measurement 0.5, the same on all days", day), world, runs);
  }
  for (const double day : {0.0, 0.25, 1.0}) {
    World world;
    world.day = day;
    world.throws = 30;
    world.retest_throws = 5;
    row(fmt::format("days {}, 30 throws a day, the retests 5", day), world, runs);
  }
  head("one of five changed by 3: a change told of the other four, and of the one, % of worlds");
  for (const double measurement : {0.0, 0.5})
    for (const double day : days) {
      World world;
      world.day = day;
      world.measurement = measurement;
      world.change = 3.0;
      row(fmt::format("days {}{}", day, measurement > 0.0 ? ", measurement 0.5" : ""), world, runs);
    }
  return 0;
}
