// SPDX-License-Identifier: GPL-3.0-or-later
// How well catch sound and radar together tell the release, by the number of pitches in a session,
// over all athletes and over balls of 35 m/s and more: a slow ball's flight is known less well.
// Prints Markdown. release_timing FIRST_SEED SESSIONS
#include <fmt/format.h>

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>

#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/reader.h"

using namespace moundwork;

namespace {

struct Score {
  std::string who;
  int count = 0, covered = 0;
  double squares = 0.0, variances = 0.0;
  void add(Measured found, double truth) {
    if (!found.known()) return;
    const double error = found.value - truth;
    ++count;
    squares += error * error;
    variances += found.u * found.u;
    covered += std::abs(error) < 1.959963985 * found.u ? 1 : 0;
  }
};

void print(int pitches, const Score& score) {
  const double n = std::max(1, score.count);
  std::cout << fmt::format("| {} | {} | {} | {:.2f} | {:.2f} | {:.1f} |\n", pitches, score.who,
                           score.count, 1e3 * std::sqrt(score.squares / n),
                           1e3 * std::sqrt(score.variances / n), 100.0 * score.covered / n)
            << std::flush;
}

bool from_both(const pitch::AnalysedThrow& thrown) {
  return thrown.release.candidates.size() == 2 && thrown.release.agrees;
}

}  // namespace

int main(int argc, char** argv) {
  const int first = argc > 1 ? std::atoi(argv[1]) : 1;
  const int sessions = argc > 2 ? std::atoi(argv[2]) : 100;
  const auto folder = std::filesystem::temp_directory_path() /
                      fmt::format("moundwork-release-{}-{}", first, sessions);
  std::filesystem::create_directories(folder);
  std::cout
      << "| pitches a session | balls | throws | RMS error, ms | stated u, ms | 95 % interval "
         "covers, % |\n|---|---|---|---|---|---|\n";
  for (const int pitches : {1, 5, 10, 20}) {
    Score all{"all"}, fast{"35 m/s and more"};
    for (int seed = first; seed < first + sessions; ++seed) {
      model::SessionSettings settings;
      settings.seed = static_cast<std::uint64_t>(1000 * pitches + seed);
      settings.athlete = 1 + seed % 24;
      settings.performance.pitches = pitches;
      settings.compression = 0;
      const auto path = folder / "one.h5";
      const auto written = model::simulate_session(path, settings);
      if (!written) {
        std::cerr << written.error().sentence() << '\n';
        return 1;
      }
      const auto reader = session::Reader::open(path);
      const auto analysis = pitch::analyse(reader.value(), {});
      if (!analysis) {
        std::cerr << "seed " << seed << ": " << analysis.error().sentence() << '\n';
        return 1;
      }
      const auto truth = nlohmann::json::parse(std::ifstream(written->truth)).at("throws");
      // One throw of each session, the last, so that the errors are independent.
      if (analysis->throws.size() != truth.size() || !from_both(analysis->throws.back())) continue;
      const double released = truth.back().at("events").at("release").get<double>();
      const Measured found = analysis->throws.back().measured(pitch::Event::release);
      all.add(found, released);
      if (truth.back().at("quantities").at("ball_speed").get<double>() >= 35.0)
        fast.add(found, released);
    }
    print(pitches, all);
    print(pitches, fast);
  }
  std::filesystem::remove_all(folder);
  return 0;
}
