// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <utility>

#include "app/cli/index/commands.h"
#include "app/cli/index/common.h"
#include "app/cli/index/shown.h"
#include "app/index/queries.h"
#include "core/base/one_line.h"

namespace moundwork::cli {
namespace {

using definitions::Quantity;
using nlohmann::ordered_json;

struct HistoryOptions : IndexOptions, QuantityOptions {
  std::string athlete;
};

int history(const HistoryOptions& options) {
  const auto index = open(options, index::Access::read);
  if (!index) return complain_of_index(index.error()), 1;
  const auto shown =
      shown_of(options, {Quantity::ball_speed, Quantity::heel_toe_at_drive_peak,
                         Quantity::drive_impulse_per_mass, Quantity::braking_impulse_per_mass,
                         Quantity::braking_timing});
  if (!shown) return complain_of_index(shown.error()), 1;
  const auto athlete = index::find_athlete(*index, options.athlete);
  if (!athlete) return complain_of_index(athlete.error()), 1;
  ordered_json document{{"athlete", athlete->id}, {"quantities", ordered_json::array()}};
  std::string text;
  for (const Shown& one : *shown) {
    const auto means = index::history(*index, athlete->id, one.quantity);
    if (!means) return complain_of_index(means.error()), 1;
    ordered_json sessions = ordered_json::array();
    if (!means->empty()) text += fmt::format("{}, {}\n", one.key, one.as.unit);
    for (const index::SessionMean& mean : *means) {
      sessions.push_back({{"session", mean.session},
                          {"started", mean.started},
                          {"day", mean.day},
                          {"age", or_null(mean.age)},
                          {"throws", mean.n},
                          {"mean", or_null(mean.mean.value)},
                          {"u", or_null(mean.mean.u)},
                          {"sd", or_null(mean.sd)},
                          {"lowest", or_null(mean.lowest)},
                          {"highest", or_null(mean.highest)}});
      const auto digits = [&](double value) { return one.text(value, mean.mean.u); };
      text += fmt::format("  {:<10}  {:>4} {}  mean {:>8}  from {:>8} to {:>8}  u {}\n", mean.day,
                          mean.n, mean.n == 1 ? "throw " : "throws", digits(mean.mean.value),
                          digits(mean.lowest), digits(mean.highest), digits(mean.mean.u));
    }
    document["quantities"].push_back({{"quantity", one.key},
                                      {"unit", definitions::entry(one.quantity).unit},
                                      {"sessions", std::move(sessions)}});
  }
  if (options.json)
    print_json(document);
  else if (text.empty())
    std::cout << one_line(athlete->id) << ": none of these was measured.\n";
  else
    std::cout << one_line(athlete->id + (athlete->name.empty() ? "" : ", " + athlete->name)) << '\n'
              << text;
  return 0;
}

}  // namespace

void add_index_history(CLI::App& index, int& exit_code) {
  auto options = std::make_shared<HistoryOptions>();
  auto* command = index.add_subcommand("history", "An athlete's session means over the years");
  command->add_option("athlete", options->athlete, "Id, or name that only one has")
      ->required()
      ->type_name("ATHLETE");
  add_quantity(*command, *options, false);
  add_common(*command, *options);
  command->callback([options, &exit_code] { exit_code = history(*options); });
}

}  // namespace moundwork::cli
