// SPDX-License-Identifier: GPL-3.0-or-later
// How well catch sound and radar together tell the release, by the number of pitches in a session,
// over all athletes and over balls of 35 m/s and more: a slow ball's flight is known less well. For
// flight distances known to 0.10 and 0.05 m, and with the release of the first three pitches marked
// in a video of 240 frames a second. Prints Markdown. release_timing FIRST_SEED SESSIONS
#include <fmt/format.h>

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>
#include <random>

#include "core/marks/frame_marks.h"
#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/edit_list.h"
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

/// A kind of station and session.
struct Case {
  int pitches = 1;
  double flight_distance_u = 0.10;  // m
  int marked = 0;                   // pitches, from the first on
};

void print(const Case& kind, const Score& score) {
  const double n = std::max(1, score.count);
  std::cout << fmt::format("| {} | {:.2f} | {} | {} | {} | {:.2f} | {:.2f} | {:.1f} |\n",
                           kind.pitches, kind.flight_distance_u, kind.marked, score.who,
                           score.count, 1e3 * std::sqrt(score.squares / n),
                           1e3 * std::sqrt(score.variances / n), 100.0 * score.covered / n)
            << std::flush;
}

bool from_both(const pitch::AnalysedThrow& thrown) {
  return thrown.release.candidates.size() == 2 && thrown.release.agrees;
}

/// As a person with a camera would: whole frames from any phase, and a habit of seeing the landing
/// sooner or later than the plate tells it.
Result<void> mark_releases(const std::filesystem::path& path, const nlohmann::json& truth,
                           const pitch::Analysis& analysis, const Case& kind,
                           std::mt19937_64& random) {
  constexpr double rate = 240.0;
  const double habit = std::normal_distribution<double>(0.0, 0.002)(random);
  std::uniform_real_distribution<double> phase(0.0, 1.0);
  for (int i = 0; i < kind.marked; ++i) {
    const auto at = static_cast<std::size_t>(i);
    const nlohmann::json& events = truth.at(at).at("events");
    const double offset = phase(random);
    const auto frame = [&](double time) { return std::round(time * rate + offset); };
    const double landed = events.at("lead_contact").get<double>() + habit;
    session::Edit edit = marks::to_edit(
        {marks::BodyMark::release, frame(events.at("release").get<double>()), frame(landed), rate},
        analysis.throws.at(at).contact);
    edit.who = "reader";
    edit.when = "2026-04-18T10:00:00Z";
    if (auto added = session::append_edit(path, edit); !added)
      return tl::make_unexpected(added.error());
  }
  return {};
}

int fail_with(const Error& error) {
  std::cerr << error.sentence() << '\n';
  return 1;
}

}  // namespace

int main(int argc, char** argv) {
  const int first = argc > 1 ? std::atoi(argv[1]) : 1;
  const int sessions = argc > 2 ? std::atoi(argv[2]) : 100;
  const auto folder = std::filesystem::temp_directory_path() /
                      fmt::format("moundwork-release-{}-{}", first, sessions);
  std::filesystem::create_directories(folder);
  std::cout << "| pitches a session | flight distance known to, m | marked | balls | throws | RMS "
               "error, ms | stated u, ms | 95 % interval covers, % |\n"
               "|---|---|---|---|---|---|---|---|\n";
  for (const Case& kind : {Case{1}, Case{5}, Case{10}, Case{20}, Case{1, 0.05}, Case{5, 0.05},
                           Case{10, 0.05}, Case{10, 0.10, 3}, Case{10, 0.05, 3}}) {
    Score all{"all"}, fast{"35 m/s and more"};
    for (int seed = first; seed < first + sessions; ++seed) {
      model::SessionSettings settings;
      settings.seed = static_cast<std::uint64_t>(1000 * kind.pitches + seed);
      settings.athlete = 1 + seed % 24;
      settings.performance.pitches = kind.pitches;
      settings.station.flight_distance_u = kind.flight_distance_u;
      settings.compression = 0;
      // A name of its own: edits stand in a file beside it.
      const auto path = folder / fmt::format("{}-{}-{}-{}.h5", kind.pitches, kind.flight_distance_u,
                                             kind.marked, seed);
      const auto written = model::simulate_session(path, settings);
      if (!written) return fail_with(written.error());
      const auto reader = session::Reader::open(path);
      auto analysis = pitch::analyse(reader.value(), {});
      if (!analysis) return fail_with(analysis.error());
      const auto truth = nlohmann::json::parse(std::ifstream(written->truth)).at("throws");
      // One throw of each session, the last, so that the errors are independent.
      if (analysis->throws.size() != truth.size() || !from_both(analysis->throws.back())) continue;
      if (kind.marked > 0) {
        std::mt19937_64 random(settings.seed);
        if (auto marked = mark_releases(path, truth, *analysis, kind, random); !marked)
          return fail_with(marked.error());
        analysis = pitch::analyse(reader.value(), {});
        if (!analysis) return fail_with(analysis.error());
      }
      const double released = truth.back().at("events").at("release").get<double>();
      const Measured found = analysis->throws.back().measured(definitions::Event::release);
      all.add(found, released);
      if (truth.back().at("quantities").at("ball_speed").get<double>() >= 35.0)
        fast.add(found, released);
      std::filesystem::remove(path);
    }
    print(kind, all);
    print(kind, fast);
  }
  std::filesystem::remove_all(folder);
  return 0;
}
