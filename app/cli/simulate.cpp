// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/simulate.h"

#include <fmt/format.h>

#include <filesystem>
#include <iostream>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "app/cli/error_words.h"
#include "app/cli/json_text.h"
#include "app/cli/progress.h"
#include "app/cli/simulate_devices.h"
#include "app/cli/whole_number.h"
#include "core/base/units.h"
#include "core/model/day.h"
#include "core/model/kinds/list.h"

namespace moundwork::cli {
namespace {

struct SimulateOptions {
  bool day = false;
  bool session = false;
  std::string out;
  std::uint64_t seed = 1;
  int athletes = 12;
  int athlete = 1;
  int pitches = 15;
  std::string rate = "1000Hz";
  int back_plates = 1;
  int lead_plates = 1;
  std::vector<std::string> back_rates;
  std::vector<std::string> lead_rates;
  std::string duration;
  int plate_type = 2;
  int compression = 4;
  std::string zone = "UTC";
  bool trigger = false;
  std::vector<std::string> with;
  std::vector<std::string> without;
  bool force = false;
  bool json = false;
  PlayOptions play;
};

const std::map<std::string, bool model::ErrorSources::*>& error_sources() {
  using Sources = model::ErrorSources;
  static const std::map<std::string, bool Sources::*> names{
      {"gain", &Sources::gain},
      {"crosstalk", &Sources::crosstalk},
      {"pressure-point", &Sources::pressure_point},
      {"zero", &Sources::zero},
      {"drift", &Sources::drift},
      {"noise", &Sources::noise},
      {"clock", &Sources::clock},
      {"arrival", &Sources::arrival},
      {"delay", &Sources::delay},
      {"body", &Sources::body},
      {"foot-line", &Sources::foot_line},
      {"radar", &Sources::radar},
      {"flight", &Sources::flight},
      {"trigger", &Sources::trigger},
      {"loss", &Sources::loss}};
  return names;
}

Result<model::PlateRow> plate_row(int plates, const std::vector<std::string>& rates,
                                  const char* option) {
  model::PlateRow row;
  row.plates = plates;
  for (const std::string& text : rates) {
    const auto rate = parse_quantity(text, Dimension::frequency, option);
    if (!rate) return tl::make_unexpected(rate.error());
    row.rates.push_back(*rate);
  }
  return row;
}

Result<model::StationSettings> station_settings(const SimulateOptions& options) {
  model::StationSettings station;
  const auto rate = parse_quantity(options.rate, Dimension::frequency, "--rate");
  if (!rate) return tl::make_unexpected(rate.error());
  station.rate = *rate;
  const auto back = plate_row(options.back_plates, options.back_rates, "--back-rates");
  if (!back) return tl::make_unexpected(back.error());
  station.back_plates = *back;
  const auto lead = plate_row(options.lead_plates, options.lead_rates, "--lead-rates");
  if (!lead) return tl::make_unexpected(lead.error());
  station.lead_plates = *lead;
  station.plate_type = static_cast<plate::PlateType>(options.plate_type);
  station.trigger = options.trigger;
  station.with = options.with;
  for (const std::string& name : options.without) {
    if (name == "all")
      station.errors = model::ErrorSources::none();
    else
      station.errors.*error_sources().at(name) = false;
  }
  return station;
}

Result<model::PerformanceSettings> performance_settings(const SimulateOptions& options) {
  model::PerformanceSettings performance;
  performance.pitches = options.pitches;
  if (!options.duration.empty()) {
    const auto duration = parse_quantity(options.duration, Dimension::time, "--duration");
    if (!duration) return tl::make_unexpected(duration.error());
    performance.duration = *duration;
  }
  return performance;
}

Result<void> may_write(const SimulateOptions& options) {
  const std::filesystem::path out = options.out;
  std::error_code error;
  if (options.day) {
    if (!std::filesystem::exists(out, error)) return {};
    if (!std::filesystem::is_directory(out, error))
      return fail(options.out, "is a file where a folder is wanted", "name another folder");
    if (!options.force && !std::filesystem::is_empty(out, error))
      return fail(options.out, "is a folder with files in it",
                  "name an empty one, or add --force to write over files of the same names");
    return {};
  }
  if (std::filesystem::is_directory(out, error))
    return fail(options.out, "is a folder where a file name is wanted",
                "end it with the file's name, such as session.h5");
  if (!options.force && std::filesystem::exists(out, error))
    return fail(options.out, "is there already", "name another file, or add --force");
  return {};
}

void print_day(const model::WrittenDay& day, bool json) {
  if (!json) {
    for (const auto& one : day.sessions)
      std::cout << fmt::format("{}  {}  {} throws  {:.0f} s\n", one.session.string(), one.athlete,
                               one.throws, one.duration);
    for (const auto& sheet : day.sheets) std::cout << sheet.string() << '\n';
    return;
  }
  nlohmann::ordered_json document;
  document["sessions"] = nlohmann::ordered_json::array();
  for (const auto& one : day.sessions)
    document["sessions"].push_back({{"session", one.session.string()},
                                    {"truth", one.truth.string()},
                                    {"athlete", one.athlete},
                                    {"throws", one.throws},
                                    {"duration", one.duration}});
  document["sheets"] = nlohmann::ordered_json::array();
  for (const auto& sheet : day.sheets) document["sheets"].push_back(sheet.string());
  std::cout << json_text(document) << '\n';
}

Result<model::WrittenDay> simulate(const SimulateOptions& options) {
  if (auto may = may_write(options); !may) return tl::make_unexpected(may.error());
  const auto station = station_settings(options);
  if (!station) return tl::make_unexpected(station.error());
  const auto performance = performance_settings(options);
  if (!performance) return tl::make_unexpected(performance.error());
  ProgressLine line;
  if (options.day)
    return model::simulate_day(
        {options.seed, options.athletes, *performance, *station, options.compression, options.zone},
        options.out, line.of("simulating"));
  auto one = model::simulate_session(
      options.out,
      {options.seed, options.athlete, *station, *performance, options.compression, options.zone},
      line.of("simulating"));
  if (!one) return tl::make_unexpected(one.error());
  return model::WrittenDay{{*one}, {}};
}

}  // namespace

void add_simulate(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<SimulateOptions>();
  CLI::App* command = app.add_subcommand(
      "simulate", "Make session files of an invented lab, with the true values beside them");
  auto* what = command->add_option_group("what", "One of these");
  what->add_flag("--day", options->day, "A day: one session file an athlete, and the lab's sheets");
  what->add_flag("--session", options->session, "One athlete's session");
  auto* devices =
      what->add_option("--devices", options->play.folder,
                       "Play a session file through virtual ports in this folder, as instruments");
  what->require_option(1);
  command->add_option("--out", options->out, "Folder of the day, or file of the session");
  command->add_option("--play", options->play.session, "Session file for --devices")
      ->needs(devices);
  command->add_option("--speed", options->play.speed, "Session seconds per second of --devices")
      ->check(CLI::Range(0.1, 100.0))
      ->needs(devices)
      ->capture_default_str();
  command->add_option("--from", options->play.from, "Session time to begin at, s, of --devices")
      ->check(CLI::NonNegativeNumber)
      ->needs(devices)
      ->capture_default_str();
  command->add_option("--seed", options->seed, "The same seed gives the same data")
      ->check(CLI::Validator(whole_number, "WHOLE NUMBER"))
      ->capture_default_str();
  command->add_option("--athletes", options->athletes, "Athletes of the day")
      ->check(CLI::Range(1, 240))
      ->capture_default_str();
  command->add_option("--athlete", options->athlete, "Which athlete throws in --session")
      ->check(CLI::Range(1, 240))
      ->capture_default_str();
  command->add_option("--pitches", options->pitches, "Throws of each athlete")
      ->check(CLI::Range(0, 1000))
      ->capture_default_str();
  command->add_option("--rate", options->rate, "Samples a second of the plates, 500Hz to 10000Hz")
      ->capture_default_str();
  command
      ->add_option("--back-plates", options->back_plates,
                   "Plates under the back foot, side by side along the rubber")
      ->check(CLI::Range(1, model::most_plates))
      ->capture_default_str();
  command
      ->add_option("--lead-plates", options->lead_plates,
                   "Plates where the lead foot lands, side by side toward home")
      ->check(CLI::Range(1, model::most_plates))
      ->capture_default_str();
  command
      ->add_option("--back-rates", options->back_rates,
                   "A device for each of the back foot's plates, with these samples a second, "
                   "such as 1000Hz 500Hz; default: one device for all, at --rate")
      ->option_text("RATE ...");
  command->add_option("--lead-rates", options->lead_rates, "The same of the lead foot's plates")
      ->option_text("RATE ...");
  command->add_option("--duration", options->duration,
                      "Length of each session, such as 7200s; default: what the throws need");
  command->add_option("--plate-type", options->plate_type, "C3D force platform type: 2, 3 or 4")
      ->check(CLI::IsMember({2, 3, 4}))
      ->capture_default_str();
  command->add_flag("--trigger", options->trigger, "Every session has a release trigger");
  std::vector<std::string> kinds;
  for (const model::ModelKind* kind : model::model_kinds()) kinds.emplace_back(kind->key);
  command->add_option("--with", options->with, "An instrument more of this kind; may be repeated")
      ->check(CLI::IsMember(kinds))
      ->option_text("KIND");
  std::vector<std::string> names{"all"};
  for (const auto& [name, member] : error_sources()) names.push_back(name);
  command->add_option("--without", options->without, "Sources of error to switch off, or all")
      ->check(CLI::IsMember(names));
  command->add_option("--compression", options->compression, "Deflate level of the files")
      ->check(CLI::Range(0, 9))
      ->capture_default_str();
  command->add_option("--zone", options->zone, "Time zone of the invented lab")
      ->option_text("NAME")
      ->capture_default_str();
  command->add_flag("--force", options->force, "Write over files that are there");
  command->add_flag("--json", options->json, "Print what was written as JSON");
  command->callback([options, &exit_code] {
    if (!options->play.folder.empty()) {
      if (options->play.session.empty()) throw CLI::RequiredError("--play");
      if (const auto played = simulate_devices(options->play); !played) {
        std::cerr << "moundwork simulate: " << error_words(played.error()) << '\n';
        exit_code = 1;
      }
      return;
    }
    if (options->out.empty()) throw CLI::RequiredError("--out");
    const auto day = simulate(*options);
    if (!day) {
      std::cerr << "moundwork simulate: " << error_words(day.error()) << '\n';
      exit_code = 1;
      return;
    }
    print_day(*day, options->json);
  });
}

}  // namespace moundwork::cli
