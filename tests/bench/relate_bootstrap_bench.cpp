// SPDX-License-Identifier: GPL-3.0-or-later
// The cluster bootstrap at the size that docs/relate.md promises: 10,000 resamples of whole
// athletes over 10,000 pitches and 30 quantities.
#include <benchmark/benchmark.h>

#include "core/base/random.h"
#include "core/stats/relation_bootstrap.h"

namespace {

using namespace moundwork;

void bootstrap_relations(benchmark::State& state) {
  const auto athletes = static_cast<int>(state.range(0));
  constexpr int pitches = 10000;
  constexpr int quantities = 30;
  Random random(1, 0);
  Eigen::MatrixXd x(pitches, quantities);
  Eigen::VectorXd y(pitches);
  stats::Groups groups;
  groups.count = athletes;
  for (int row = 0; row < pitches; ++row) {
    groups.of_row.push_back(row % athletes);
    y[row] = random.normal();
    for (int q = 0; q < quantities; ++q) x(row, q) = random.normal();
  }
  stats::ResampleSettings settings;
  settings.resamples = 10000;
  settings.threads = static_cast<int>(state.range(1));
  for (auto _ : state)
    benchmark::DoNotOptimize(stats::bootstrap_relations(x, y, groups, 0.95, settings));
}

BENCHMARK(bootstrap_relations)
    ->ArgsProduct({{20, 200, 1000}, {1, 2}})
    ->ArgNames({"athletes", "threads"})
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

}  // namespace

BENCHMARK_MAIN();
