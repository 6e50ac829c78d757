// SPDX-License-Identifier: GPL-3.0-or-later
// How often `relate` says something false in worlds whose truth is known: days, types, growth, size
// and drift that make unlike things look related, and the picking of what stands out. Prints the
// tables that docs/relate.md shows.
#include <fmt/format.h>

#include <array>
#include <cmath>
#include <cstdlib>
#include <functional>
#include <string>
#include <vector>

#include "core/base/random.h"
#include "core/relate/questions.h"
#include "core/relate/relation.h"

namespace {

using namespace moundwork;
using relate::Pitch;
using relate::Pitches;
using relate::Relation;
using relate::Verdict;

constexpr std::size_t family = relate::questions.size();

// Values about nothing, each with a spread of 1; the first `real` go with ball speed.
struct World {
  Pitches pitches;
  std::size_t real = 0;
  double slope = 0.0;  // true, of the real ones within; 0 between
};

World empty_world() {
  World world;
  for (const relate::Question& question : relate::questions)
    world.pitches.quantities.push_back({std::string(question.key), ""});
  return world;
}

Pitch& add(World& world, const std::string& athlete, int session, int number) {
  Pitch pitch;
  pitch.athlete = athlete;
  pitch.session = std::to_string(session);
  pitch.number = number;
  pitch.quantities.resize(family);
  world.pitches.rows.push_back(std::move(pitch));
  return world.pitches.rows.back();
}

// Neighbours that are alike: a first-order autoregressive series of unit variance.
std::vector<double> series(Random& random, int n, double phi) {
  std::vector<double> values{random.normal()};
  while (static_cast<int>(values.size()) < n)
    values.push_back(phi * values.back() + std::sqrt(1.0 - phi * phi) * random.normal());
  return values;
}

// One athlete, `sessions` of `throws`; what is common to a session, a type, an order is added to
// all quantities and to ball speed alike, the way that makes most of it look like a relation.
struct Common {
  double day_sd = 0.0;    // of the throws' SD
  double growth = 0.0;    // from session to session
  double drift = 0.0;     // over a session
  double types = 0.0;     // a fastball more than a change-up
  double likeness = 0.0;  // of neighbours
};
World one_athlete(Random& random, int sessions, int throws, const Common& common,
                  std::size_t real = 0, double r = 0.0) {
  World world = empty_world();
  world.real = real;
  // Ball speed is slope times each of the real ones and noise that leaves it an r with each.
  world.slope = r / std::sqrt(1.0 - static_cast<double>(real) * r * r);
  for (int s = 0; s < sessions; ++s) {
    const auto of_day = [&] { return random.normal(0.0, common.day_sd) + common.growth * s; };
    std::array<double, family + 1> day{};
    std::vector<std::vector<double>> noise;
    for (double& one : day) {
      one = of_day();
      noise.push_back(series(random, throws, common.likeness));
    }
    for (int i = 0; i < throws; ++i) {
      Pitch& pitch = add(world, "A-01", s, i + 1);
      const bool fast = common.types == 0.0 || random.uniform() < 0.5;
      if (common.types != 0.0) pitch.pitch_type = fast ? "fastball" : "change-up";
      const double shared =
          common.drift * (i / (throws - 1.0) - 0.5) * std::sqrt(12.0) + (fast ? common.types : 0.0);
      const auto at = static_cast<std::size_t>(i);
      pitch.ball_speed.value = 38.0 + day[family] + shared + noise[family][at];
      for (std::size_t q = 0; q < family; ++q) {
        pitch.quantities[q].value = day[q] + shared + noise[q][at];
        if (q < real) pitch.ball_speed.value += world.slope * noise[q][at];
      }
    }
  }
  return world;
}

// Athletes of 9 to 28 of whom bigger and older ones push harder and throw faster, and nothing else.
// Growth by age: a height that levels off at 17, a mass by height squared (an invented curve).
World sizes(Random& random, int athletes) {
  World world = empty_world();
  for (int a = 0; a < athletes; ++a) {
    const double age = 9.0 + 19.0 * random.uniform();
    const double grown = 1.0 / (1.0 + std::exp(-0.6 * (age - 13.0)));
    const double height = 1.30 + 0.52 * grown + random.normal(0.0, 0.06);
    const double mass = (16.0 + 8.0 * grown) * height * height * std::exp(random.normal(0.0, 0.12));
    const double own = random.normal(0.0, 1.5);
    std::array<double, family> level{};
    for (double& one : level) one = 8.0 * mass * std::exp(random.normal(0.0, 0.15));
    for (int i = 0; i < 10; ++i) {
      Pitch& pitch = add(world, fmt::format("A-{:02}", a), 0, i + 1);
      pitch.mass = mass;
      pitch.height = height;
      pitch.age = std::floor(age);
      pitch.ball_speed.value =
          12.0 + 6.0 * std::log(mass) * grown + 2.0 * height + own + random.normal();
      for (std::size_t q = 0; q < family; ++q)
        pitch.quantities[q].value = level[q] * (1.0 + 0.05 * random.normal());
    }
  }
  return world;
}

bool is_shown(Verdict verdict) {
  return verdict == Verdict::shown || verdict == Verdict::shown_here;
}

struct Tally {
  int runs = 0;
  int false_within = 0, false_between = 0;  // runs with at least one
  double false_share = 0.0;                 // of what was shown, summed over runs
  double uncovered_share = 0.0;             // of the intervals of what was shown
  int strongest = 0, strongest_held = 0;
  double real_shown = 0.0;
  int reserved = 0;  // runs in which between athletes a reason was given
};

Tally run(int runs, const std::function<World(Random&)>& world_of) {
  relate::Settings settings;
  settings.resample.resamples = 1000;
  settings.least_athletes_to_resample = 1000;  // resampling takes nothing away and gives nothing
  Tally tally;
  for (int i = 0; i < runs; ++i) {
    Random random(static_cast<std::uint64_t>(2026 + i), 0);
    const World world = world_of(random);
    const auto report = relate::relate(world.pitches, settings);
    int shown = 0, wrong = 0, uncovered = 0, found = 0;
    bool between = false, reserved = false;
    for (std::size_t q = 0; q < family; ++q) {
      const Relation& relation = report.relations[q];
      between = between || is_shown(relation.between_verdict);
      reserved = reserved || !relation.equal_size.why_not.empty();
      const bool real = q < world.real;
      const double truth = real ? world.slope : 0.0;
      const auto& slope = relation.within_selected.slope;
      const bool held = slope.low <= truth && truth <= slope.high;
      if (relation.within_selected.strongest) {
        ++tally.strongest;
        tally.strongest_held += held ? 1 : 0;
      }
      if (!is_shown(relation.within_verdict)) continue;
      ++shown;
      wrong += real ? 0 : 1;
      found += real ? 1 : 0;
      uncovered += held ? 0 : 1;
    }
    ++tally.runs;
    tally.false_within += wrong > 0 ? 1 : 0;
    tally.false_between += between ? 1 : 0;
    tally.reserved += reserved ? 1 : 0;
    tally.false_share += shown > 0 ? static_cast<double>(wrong) / shown : 0.0;
    tally.uncovered_share += shown > 0 ? static_cast<double>(uncovered) / shown : 0.0;
    if (world.real > 0)
      tally.real_shown += static_cast<double>(found) / static_cast<double>(world.real);
  }
  return tally;
}

double percent(double part, double all) { return all > 0.0 ? 100.0 * part / all : 0.0; }

void within(int runs) {
  fmt::print(
      "| nothing goes with ball speed; eight tested | runs with a false finding, % |\n|---|---|\n");
  const auto line = [&](const std::string& name, const std::function<World(Random&)>& world) {
    fmt::print("| {} | {:.1f} |\n", name, percent(run(runs, world).false_within, runs));
  };
  line("one day of 24", [](Random& random) { return one_athlete(random, 1, 24, {}); });
  for (const int sessions : {3, 10})
    for (const double sd : {0.25, 0.5, 1.0, 2.0})
      line(fmt::format("{} days of 15, day SD {} of the throws'", sessions, sd),
           [=](Random& random) { return one_athlete(random, sessions, 15, {.day_sd = sd}); });
  line("two types 3.5 SD apart, 24 throws",
       [](Random& random) { return one_athlete(random, 1, 24, {.types = 3.5}); });
  line("a youth growing over 8 sessions of 12",
       [](Random& random) { return one_athlete(random, 8, 12, {.growth = 1.0}); });
  for (const double drift : {1.0, 2.0})
    line(fmt::format("both drift within the session by {:.0f} SD, 3 days of 15", drift),
         [=](Random& random) { return one_athlete(random, 3, 15, {.drift = drift}); });
  for (const double phi : {0.3, 0.5})
    for (const int throws : {15, 40})
      line(fmt::format("neighbours alike (AR {}) in both, {} throws", phi, throws),
           [=](Random& random) { return one_athlete(random, 1, throws, {.likeness = phi}); });
  line("days, drift and alike neighbours at once, 5 days of 15", [](Random& random) {
    return one_athlete(random, 5, 15, {.day_sd = 1.0, .drift = 1.0, .likeness = 0.3});
  });
}

void between(int runs) {
  fmt::print(
      "\n| athletes of 9 to 28 with nothing but size | runs with a false finding between, % | told "
      "that they are too few, % |\n|---|---|---|\n");
  for (const int athletes : {12, 16, 24, 60}) {
    const Tally tally = run(runs, [=](Random& random) { return sizes(random, athletes); });
    fmt::print("| {} athletes | {:.1f} | {:.1f} |\n", athletes, percent(tally.false_between, runs),
               percent(tally.reserved, runs));
  }
}

void picked(int runs) {
  fmt::print(
      "\n| picked out of eight, one day | false among what is shown, % | intervals of what is "
      "shown "
      "that miss, % | the interval of the strongest of eight, shown or not, holds, % "
      "|\n|---|---|---|---|\n");
  const auto line = [&](const std::string& name, std::size_t real, double r, int throws) {
    const Tally tally =
        run(runs, [=](Random& random) { return one_athlete(random, 1, throws, {}, real, r); });
    fmt::print("| {} | {:.1f} | {:.1f} | {} |\n", name, percent(tally.false_share, runs),
               percent(tally.uncovered_share, runs),
               fmt::format("{:.1f}", percent(tally.strongest_held, tally.strongest)));
  };
  for (const int throws : {24, 60}) {
    line(fmt::format("none real, {} throws", throws), 0, 0.0, throws);
    line(fmt::format("two real (r 0.5), {} throws", throws), 2, 0.5, throws);
  }
}

void power(int runs) {
  fmt::print(
      "\n| one real of eight: shown, % | 15 throws | 24 | 40 | 60 | 150 "
      "|\n|---|---|---|---|---|---|\n");
  for (const double r : {0.3, 0.5, 0.7}) {
    std::string line = fmt::format("| r {} |", r);
    for (const int throws : {15, 24, 40, 60, 150}) {
      const Tally tally =
          run(runs, [=](Random& random) { return one_athlete(random, 1, throws, {}, 1, r); });
      line += fmt::format(" {:.0f} |", percent(tally.real_shown, runs));
    }
    fmt::print("{}\n", line);
  }
}

}  // namespace

int main(int argc, char** argv) {
  const int runs = argc > 1 ? std::atoi(argv[1]) : 1000;
  within(runs);
  between(runs);
  picked(runs);
  power(runs);
  return 0;
}
