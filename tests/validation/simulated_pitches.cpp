// SPDX-License-Identifier: GPL-3.0-or-later
// Measures simulated pitches and holds the results against their true values: how far off they are
// and how often the stated 95 % interval covers the truth. Every session has one pitch and draws
// its station's errors anew, so that the intervals meet independent errors. Prints Markdown.
//
// simulated_pitches [FIRST SEED] [SESSIONS] [SWITCHED OFF] [PLATES]: of errors none (""), "all", or
// those of "calibration" (plates, foot line, body), which leaves noise, drift, steps of the
// converter, clocks, ball instruments and lost samples; of plates "one" under a foot, or "two",
// both feet across the edge, the lead foot's on two devices at 1000 and 500 Hz, the back foot's on
// one.
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>
#include <vector>

#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/reader.h"

using namespace moundwork;

namespace {

struct Score {
  std::vector<double> errors;
  std::vector<double> relative;
  int covered = 0;
  int undefined_in_truth = 0;
  int not_measured = 0;

  void add(Measured found, double truth) {
    if (!found.known()) {
      ++not_measured;
      return;
    }
    const double error = found.value - truth;
    errors.push_back(error);
    relative.push_back(100.0 * error / truth);
    constexpr double two_sided_95 = 1.959963985;
    if (std::abs(error) <= two_sided_95 * found.u) ++covered;
  }
};

double quantile(std::vector<double> values, double share) {
  for (double& value : values) value = std::abs(value);
  std::sort(values.begin(), values.end());
  const auto at = static_cast<std::size_t>(share * static_cast<double>(values.size() - 1));
  return values[at];
}

std::string row(std::string_view key, std::string_view unit, const Score& score) {
  if (score.errors.empty()) return fmt::format("| {} | {} | 0 | | | | | | | |\n", key, unit);
  double sum = 0.0;
  double squares = 0.0;
  for (const double error : score.errors) {
    sum += error;
    squares += error * error;
  }
  const auto n = static_cast<double>(score.errors.size());
  return fmt::format(
      "| {} | {} | {} | {:.3g} | {:.3g} | {:.3g} | {:.3g} | {:.2f} | {:.2f} | {:.1f} |\n", key,
      unit, score.errors.size(), sum / n, std::sqrt(squares / n), quantile(score.errors, 0.95),
      quantile(score.errors, 1.0), quantile(score.relative, 0.95), quantile(score.relative, 1.0),
      100.0 * score.covered / n);
}

}  // namespace

int main(int argc, char** argv) {
  const int first = argc > 1 ? std::atoi(argv[1]) : 1;
  const int count = argc > 2 ? std::atoi(argv[2]) : 1000;
  const char* without = argc > 3 ? argv[3] : "";
  const bool two_plates = argc > 4 && std::string(argv[4]) == "two";
  const auto folder =
      std::filesystem::temp_directory_path() / fmt::format("moundwork-validation-{}", ::getpid());
  std::filesystem::create_directories(folder);
  std::vector<Score> events(definitions::event_count), quantities(definitions::quantity_count);
  int missed = 0;
  int invented = 0;
  for (int seed = first; seed < first + count; ++seed) {
    model::SessionSettings settings;
    settings.seed = static_cast<std::uint64_t>(seed);
    settings.athlete = 1 + seed % 24;
    // Half of the sessions have a trigger, the rest know the release from sound and radar.
    settings.station.trigger = seed % 2 == 0;
    settings.compression = 0;
    if (two_plates) {
      settings.station.back_plates = {2, {}};
      settings.station.lead_plates = {2, {1000.0, 500.0}};
    }
    model::ErrorSources& errors = settings.station.errors;
    if (std::string(without) == "all") errors = model::ErrorSources::none();
    if (std::string(without) == "calibration")
      errors.gain = errors.crosstalk = errors.pressure_point = errors.zero = errors.foot_line =
          errors.body = false;
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
    const auto truth = nlohmann::json::parse(std::ifstream(written->truth));
    missed += analysis->throws.empty() ? 1 : 0;
    invented += std::max(0, static_cast<int>(analysis->throws.size()) - 1);
    if (analysis->throws.size() != 1) continue;
    const auto& found = analysis->throws.front();
    const auto& one = truth.at("throws").at(0);
    const auto compare = [&](const char* group, auto name, Score& score) {
      const auto& value = one.at(group).at(std::string(definitions::entry(name).key));
      const double expected = value.is_null() ? NAN : value.template get<double>();
      if (std::isnan(expected)) {
        ++score.undefined_in_truth;
        return;
      }
      const Measured measured = found.measured(name);
      score.add(measured, expected);
      if (std::getenv("MOUNDWORK_SHOW_MISSES") && measured.known() &&
          std::abs(measured.value - expected) > 4.0 * measured.u)
        std::cerr << fmt::format("seed {} {}: {:.6g} +- {:.2g}, truth {:.6g}\n", seed,
                                 definitions::entry(name).key, measured.value, measured.u,
                                 expected);
    };
    for (std::size_t i = 0; i < definitions::event_count; ++i)
      compare("events", static_cast<definitions::Event>(i), events[i]);
    for (std::size_t i = 0; i < definitions::quantity_count; ++i)
      compare("quantities", static_cast<definitions::Quantity>(i), quantities[i]);
  }
  std::filesystem::remove_all(folder);
  std::cout << fmt::format(
      "{} sessions of one pitch, seeds {} to {}: {} throws missed, {} "
      "invented.\n\n",
      count, first, first + count - 1, missed, invented);
  std::cout << "| number | unit | n | mean error | RMS error | 95 % below | greatest | 95 % below, "
               "% of truth | greatest, % of truth | interval covers, % "
               "|\n|---|---|---|---|---|---|---|---|---|---|\n";
  for (std::size_t i = 0; i < definitions::event_count; ++i) {
    const auto& entry = definitions::entry(static_cast<definitions::Event>(i));
    std::cout << row(entry.key, entry.unit, events[i]);
  }
  for (std::size_t i = 0; i < definitions::quantity_count; ++i) {
    const auto& entry = definitions::entry(static_cast<definitions::Quantity>(i));
    std::cout << row(entry.key, entry.unit, quantities[i]);
  }
  return 0;
}
