// SPDX-License-Identifier: GPL-3.0-or-later
// How often the test of a cue is false on throws that the cue does nothing to, how often it makes a
// reservation, and how often it finds what is there. Prints the table that docs/relate.md shows.
#include <fmt/format.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <functional>
#include <string>
#include <vector>

#include "core/base/random.h"
#include "core/relate/cue.h"
#include "core/relate/cue_order.h"

namespace {

using namespace moundwork;

constexpr std::uint64_t table_seed = 20260502;
const std::string cue = "heel";

struct Order {
  std::string name;
  int drawn_run = 0;                     // 0: nobody drew it
  std::function<bool(int, int)> cued{};  // throw from 0 of so many, where nobody drew it
};

const std::vector<Order>& orders() {
  static const std::vector<Order> all{
      {"drawn throw by throw", 1},
      {"drawn in runs of 3", 3},
      {"runs of 3 by turns, not drawn", 0, [](int i, int) { return i / 3 % 2 == 1; }},
      {"runs of 5 by turns, not drawn", 0, [](int i, int) { return i / 5 % 2 == 1; }},
      {"the middle third", 0, [](int i, int n) { return 3 * i >= n && 3 * i < 2 * n; }},
      {"strictly by turns", 0, [](int i, int) { return i % 2 == 1; }}};
  return all;
}

// One athlete's session; ball speeds have a standard deviation of 1 and are AR(1).
relate::Pitches session(const Order& order, int throws, double likeness, double effect,
                        Random& random, std::uint64_t seed) {
  relate::Pitches pitches;
  session::CueOrder drawn;
  if (order.drawn_run > 0) drawn = *relate::draw_cue_order({cue}, throws, order.drawn_run, seed);
  double noise = random.normal();
  for (int i = 0; i < throws; ++i) {
    relate::Pitch pitch;
    pitch.athlete = "A";
    pitch.session = "one";
    pitch.number = i + 1;
    if (order.drawn_run > 0) {
      pitch.cue = drawn.cue_at(static_cast<std::size_t>(i));
      pitch.drawn =
          session::DrawnCue{1, throws, i, i / order.drawn_run, order.drawn_run, pitch.cue};
    } else if (order.cued(i, throws)) {
      pitch.cue = cue;
    }
    pitch.ball_speed.value = 38.0 + noise + (pitch.cue.empty() ? 0.0 : effect);
    noise = likeness * noise + std::sqrt(1.0 - likeness * likeness) * random.normal();
    pitches.rows.push_back(std::move(pitch));
  }
  return pitches;
}

struct Counts {
  int shown = 0, reserved = 0;
};

Counts count(const Order& order, int throws, double likeness, double effect, int runs) {
  relate::Settings settings;
  settings.permutation.permutations = 1999;
  Counts counts;
  for (int run = 0; run < runs; ++run) {
    Random random(table_seed, static_cast<std::uint64_t>(run));
    settings.permutation.seed = static_cast<std::uint64_t>(run) + 1;
    const auto pitches = session(order, throws, likeness, effect, random,
                                 table_seed + static_cast<std::uint64_t>(run));
    const auto report = relate::test_cue(pitches, cue, {}, settings);
    const auto& speed = report->effects.front();
    counts.shown += speed.verdict == relate::Verdict::shown ? 1 : 0;
    counts.reserved += speed.reason.empty() ? 0 : 1;
  }
  return counts;
}

}  // namespace

int main(int argc, char** argv) {
  const int runs = argc > 1 ? std::atoi(argv[1]) : 1000;
  if (runs < 10) {
    fmt::print(stderr, "usage: {} [RUNS], at least 10\n", argv[0]);
    return 1;
  }
  fmt::print(
      "{} runs each\n\n| order | throws | neighbours alike | reservation, % | false \"shown\" of "
      "the "
      "rest, % | shown at 0.5 SD, % | 1 SD | 1.5 SD |\n|---|---|---|---|---|---|---|---|\n",
      runs);
  for (const Order& order : orders())
    for (const int throws : {24, 30})
      for (const double likeness : {0.0, 0.3, 0.5}) {
        const Counts none = count(order, throws, likeness, 0.0, runs);
        const int rest = runs - none.reserved;
        std::string line =
            fmt::format("| {} | {} | {} | {:.1f} | {} |", order.name, throws, likeness,
                        100.0 * none.reserved / runs,
                        rest == 0 ? "-" : fmt::format("{:.1f}", 100.0 * none.shown / rest));
        for (const double effect : {0.5, 1.0, 1.5})
          line += fmt::format(" {:.1f} |",
                              100.0 * count(order, throws, likeness, effect, runs).shown / runs);
        fmt::print("{}\n", line);
        std::fflush(stdout);
      }
  return 0;
}
