// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/analyse.h"

#include <CLI/CLI.hpp>
#include <charconv>
#include <cmath>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "app/cli/error_words.h"
#include "app/cli/json_text.h"
#include "app/cli/progress.h"
#include "app/cli/throw_json.h"
#include "app/cli/throw_table.h"
#include "core/base/wall_time.h"
#include "core/pitch/analysis.h"
#include "core/pitch/companion_check.h"
#include "core/session/reader.h"
#include "core/session/results.h"
#include "core/session/start.h"

namespace moundwork::cli {
namespace {

using nlohmann::ordered_json;

struct AnalyseOptions {
  std::vector<std::string> files;
  std::vector<std::string> settings;
  std::string speed_unit = "m/s";
  bool json = false, budget = false, unsaved = false;
  std::optional<int> kept;
};

Result<definitions::Settings> settings_of(const AnalyseOptions& options) {
  definitions::Settings settings;
  for (const std::string& text : options.settings) {
    const auto equals = text.find('=');
    const std::string name = text.substr(0, equals);
    double value = 0.0;
    const std::string_view number = equals == std::string::npos
                                        ? std::string_view()
                                        : std::string_view(text).substr(equals + 1);
    const auto [end, status] = std::from_chars(number.data(), number.data() + number.size(), value);
    if (status != std::errc{} || end != number.data() + number.size() || !std::isfinite(value) ||
        value < 0.0)
      return fail("--set " + text, "is not NAME=NUMBER", "write, for example, --set low_pass=40");
    try {
      nlohmann::json({{name, value}}).get_to(settings);
    } catch (const std::invalid_argument& unknown) {
      return fail("--set " + text, unknown.what(), "docs/definitions.md lists the settings");
    }
  }
  return settings;
}

ordered_json units() {
  ordered_json json;
  for (std::size_t i = 0; i < definitions::event_count; ++i)
    json[std::string(definitions::entry(static_cast<definitions::Event>(i)).key)] =
        definitions::entry(static_cast<definitions::Event>(i)).unit;
  for (std::size_t i = 0; i < definitions::quantity_count; ++i)
    json[std::string(definitions::entry(static_cast<definitions::Quantity>(i)).key)] =
        definitions::entry(static_cast<definitions::Quantity>(i)).unit;
  return json;
}

struct FileResult {
  std::string path, athlete, day;
  session::SessionZone zone;
  pitch::Analysis analysis;
};

Result<FileResult> analyse_file(const std::string& path, const definitions::Settings& settings,
                                const AnalyseOptions& options, ProgressLine& line) {
  const auto reader = session::Reader::open(path);
  if (!reader) return tl::make_unexpected(reader.error());
  const auto settled = pitch::settle_companion(*reader);
  if (!settled) return tl::make_unexpected(settled.error());
  auto analysis = pitch::analyse(*reader, settings, line.of(path));
  if (!analysis) return tl::make_unexpected(analysis.error());
  if (*settled) analysis->remarks.push_back({"companion_set_aside", **settled});
  const session::Athlete& athlete = reader->session().athlete;
  FileResult result{path, athlete.name.empty() ? athlete.id : athlete.name,
                    session::day_of(reader->session()), reader->session().zone,
                    std::move(*analysis)};
  if (!options.unsaved) {
    const auto saved = session::append_results(
        path, pitch::to_results(result.analysis, settings, iso_now()), options.kept);
    if (!saved) return tl::make_unexpected(saved.error());
  }
  return result;
}

void print_json(const std::vector<FileResult>& results, const definitions::Settings& settings,
                bool budget) {
  ordered_json document;
  document["throws"] = ordered_json::array();
  document["sessions"] = ordered_json::array();
  for (const FileResult& result : results) {
    ordered_json remarks = ordered_json::array();
    for (const auto& remark : result.analysis.remarks) remarks.push_back(remark.detail);
    document["sessions"].push_back({{"session", result.path},
                                    {"athlete", result.athlete},
                                    {"day", result.day},
                                    {"zone", result.zone.name},
                                    {"zone_assumed", result.zone.assumed},
                                    {"throws", result.analysis.throws.size()},
                                    {"remarks", std::move(remarks)}});
    for (const auto& thrown : result.analysis.throws) {
      ordered_json json = throw_json(thrown, budget);
      json["session"] = result.path;
      document["throws"].push_back(std::move(json));
    }
  }
  document["units"] = units();
  document["software"] = "Moundwork " MOUNDWORK_VERSION;
  document["settings"] = nlohmann::json(settings);
  std::cout << json_text(document) << '\n';
}

int analyse(const AnalyseOptions& options) {
  const auto complain = [](const Error& error) {
    std::cerr << "moundwork analyse: " << error_words(error) << '\n';
  };
  const auto settings = settings_of(options);
  if (!settings) {
    complain(settings.error());
    return 1;
  }
  int exit_code = 0;
  std::vector<FileResult> results;
  for (const std::string& path : options.files) {
    auto result = [&] {
      ProgressLine line;
      return analyse_file(path, *settings, options, line);
    }();
    if (!result) {
      // One bad file of a day must not keep the others from being analysed.
      complain(result.error());
      exit_code = 1;
      continue;
    }
    if (!options.json)
      std::cout << throw_table(result->analysis, result->path, result->athlete, options.speed_unit);
    results.push_back(std::move(*result));
  }
  if (options.json) print_json(results, *settings, options.budget);
  return exit_code;
}

}  // namespace

void add_analyse(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<AnalyseOptions>();
  AnalyseOptions& o = *options;
  CLI::App* command = app.add_subcommand(
      "analyse", "Find and measure every throw of session files, results stored beside the data");
  command->add_option("files", o.files, "Session files")->required();
  command->add_flag("--json", o.json, "Print JSON in SI units");
  command->add_flag("--budget", o.budget, "With --json: each number's uncertainty by source");
  command->add_option("--set", o.settings, "Change a setting of the analysis, NAME=NUMBER");
  command->add_option("--speed-unit", o.speed_unit, "Ball speed unit of the table")
      ->check(CLI::IsMember({"m/s", "km/h", "mph"}))
      ->capture_default_str();
  command
      ->add_option(
          "--keep", o.kept,
          "So many of the last analyses stay in the results file, the last one counts; as the "
          "lab has settled, else 3, if left out")
      ->check(CLI::Range(1, 1000));
  command->add_flag("--no-save", o.unsaved, "Only print, store no results");
  command->callback([options, &exit_code] { exit_code = analyse(*options); });
}

}  // namespace moundwork::cli
