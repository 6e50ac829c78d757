// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/check.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <filesystem>
#include <iostream>
#include <map>
#include <memory>
#include <string>

#include "app/cli/error_words.h"
#include "app/cli/percent.h"
#include "core/base/lab_file.h"
#include "core/base/units.h"
#include "core/base/wall_time.h"
#include "drivers/check/checks.h"
#include "drivers/check/sheet_file.h"
#include "drivers/kinds/list.h"
#include "drivers/recorder/short_recording.h"

namespace moundwork::cli {
namespace {

using drivers::CheckSheet;
using drivers::WeightPoint;

struct CheckOptions {
  std::string station, sheet, duration = "10s", plate = "back", mass, point = "centre", frequency;
  int plate_number = 1;
  std::string microphone_distance;
  // Limits as typed, in place of the station file's.
  std::string rate, force_noise, force_zero, weight_force, weight_cop, fork_speed, tap;
  bool json = false, no_sheet = false;
};

/// The station file's, but for those that were typed.
Result<drivers::CheckLimits> limits_of(const CheckOptions& options, drivers::CheckLimits limits) {
  const auto take = [](const std::string& text, auto parse, const char* name, double& limit) {
    if (text.empty()) return Result<void>{};
    const Result<double> given = parse(text, name);
    if (!given) return Result<void>(tl::make_unexpected(given.error()));
    if (!(*given > 0.0))
      return Result<void>(fail(name, "is not above 0", "give what is still good"));
    limit = *given;
    return Result<void>{};
  };
  const auto as = [](Dimension dimension) {
    return [dimension](const std::string& text, const char* name) {
      return parse_quantity(text, dimension, name);
    };
  };
  const auto share = [](const std::string& text, const char* name) { return percent(text, name); };
  Result<void> taken = take(options.rate, share, "--rate-limit", limits.rate);
  const auto next = [&](const std::string& text, auto parse, const char* name, double& limit) {
    if (taken) taken = take(text, parse, name, limit);
  };
  next(options.force_noise, as(Dimension::force), "--noise-limit", limits.force_noise);
  next(options.force_zero, as(Dimension::force), "--zero-limit", limits.force_zero);
  next(options.weight_force, share, "--force-limit", limits.weight_force);
  next(options.weight_cop, as(Dimension::length), "--point-limit", limits.weight_cop);
  next(options.fork_speed, share, "--speed-limit", limits.fork_speed);
  next(options.tap, as(Dimension::time), "--tap-limit", limits.tap);
  if (!taken) return tl::make_unexpected(taken.error());
  return limits;
}

const std::map<std::string, WeightPoint>& points() {
  static const std::map<std::string, WeightPoint> names{{"centre", WeightPoint::centre},
                                                        {"1", WeightPoint::quadrant_1},
                                                        {"2", WeightPoint::quadrant_2},
                                                        {"3", WeightPoint::quadrant_3},
                                                        {"4", WeightPoint::quadrant_4}};
  return names;
}

/// As typed; 0 and less would make a check that measures nothing.
Result<double> above_zero(const std::string& text, Dimension dimension, const char* name) {
  auto value = parse_quantity(text, dimension, name);
  if (value && !(*value > 0.0)) return fail(name, "is not above 0");
  return value;
}

using Evaluate =
    std::function<Result<CheckSheet>(const session::Reader&, const drivers::CheckLimits&)>;

Result<CheckSheet> run(const CheckOptions& options, const std::string& prompt,
                       const Evaluate& evaluate) {
  const auto station = drivers::read_station(options.station);
  if (!station) return tl::make_unexpected(station.error());
  const auto limits = limits_of(options, station->check_limits);
  if (!limits) return tl::make_unexpected(limits.error());
  const auto duration = parse_quantity(options.duration, Dimension::time, "--duration");
  if (!duration) return tl::make_unexpected(duration.error());
  if (!(*duration >= 1.0 && *duration <= 600.0))
    return fail("--duration", "is not between 1 s and 10 min");
  auto recording = drivers::ShortRecording::begin(*station);
  if (!recording) return tl::make_unexpected(recording.error());
  std::cerr << prompt << fmt::format(" ({:.0f} s)\n", *duration);
  const auto reader = (*recording)->end_after(*duration);
  if (!reader) return tl::make_unexpected(reader.error());
  return evaluate(*reader, *limits);
}

Result<std::filesystem::path> sheet_of(const CheckOptions& options, WallTime now) {
  if (!options.sheet.empty()) return options.sheet;
  const auto folder = std::filesystem::path(options.station).parent_path();
  const auto zone = zone_for(options.station);
  if (!zone) return tl::make_unexpected(zone.error());
  return drivers::sheet_of_day(folder, now, *zone);
}

void finish(const CheckOptions& options, const Result<CheckSheet>& sheet, int& exit_code) {
  const auto complain = [&](const Error& error) {
    std::cerr << "moundwork check: " << error_words(error) << '\n';
    exit_code = 1;
  };
  if (!sheet) return complain(sheet.error());
  const WallTime now = wall_now();
  std::cout << (options.json ? drivers::to_json(*sheet, iso_text(now)) + "\n"
                             : drivers::to_text(*sheet));
  if (!options.no_sheet) {
    const auto path = sheet_of(options, now);
    if (!path) return complain(path.error());
    if (const auto added = drivers::add_to_sheet(*path, *sheet, now); !added)
      return complain(added.error());
    std::cerr << "Added to " << path->string() << '\n';
  }
  for (const auto& line : *sheet)
    if (!line.pass()) exit_code = 3;
}

void add_limit(CLI::App& kind, const char* name, const char* what, std::string& text) {
  kind.add_option(name, text, std::string(what) + ", in place of the station file's")
      ->option_text("LIMIT");
}

CLI::App* add_kind(CLI::App& command, const std::string& name, const std::string& what,
                   const std::shared_ptr<CheckOptions>& options) {
  CLI::App* kind = command.add_subcommand(name, what);
  kind->add_option("--station", options->station, "Station file")->required()->option_text("FILE");
  kind->add_option("--sheet", options->sheet,
                   "The day's sheet, to which the result is added; checks-DATE.jsonl in the "
                   "folder checks beside the station file, or beside it, if left out")
      ->option_text("FILE");
  kind->add_flag("--no-sheet", options->no_sheet, "Add the result to no sheet");
  kind->add_option("--duration", options->duration, "How long to record")->capture_default_str();
  kind->add_flag("--json", options->json, "Print JSON");
  return kind;
}

}  // namespace

void add_check(CLI::App& app, int& exit_code) {
  CLI::App* command =
      app.add_subcommand("check", "Check a station before athletes come: a pass/fail sheet");
  command->require_subcommand(1);
  command->footer("Ends with 0 if all passed, 3 if something failed, 1 if nothing could be said.");
  const auto options = std::make_shared<CheckOptions>();

  CLI::App* rates = add_kind(
      *command, "rates", "Sample rates against this computer's clock, and lost samples", options);
  add_limit(*rates, "--rate-limit", "Of the rate's error, such as 0.03%", options->rate);
  rates->callback([options, &exit_code] {
    finish(*options, run(*options, "Recording", drivers::check_rates), exit_code);
  });
  CLI::App* zero = add_kind(*command, "zero", "Zero and noise of the empty plates", options);
  add_limit(*zero, "--zero-limit", "Of each force's mean, such as 100N", options->force_zero);
  add_limit(*zero, "--noise-limit", "Of each force's noise, such as 5N", options->force_noise);
  zero->callback([options, &exit_code] {
    finish(*options, run(*options, "Keep off the plates", drivers::check_zero), exit_code);
  });

  CLI::App* weight = add_kind(*command, "weight", "A known weight at one of five points", options);
  weight->add_option("--plate", options->plate, "Which plate")
      ->check(CLI::IsMember({"back", "lead"}))
      ->capture_default_str();
  weight
      ->add_option("--plate-number", options->plate_number,
                   "Which of several plates under that foot, from 1 in the station file's order")
      ->check(CLI::PositiveNumber)
      ->capture_default_str();
  weight->add_option("--mass", options->mass, "Of the weight, such as 20kg")->required();
  weight
      ->add_option("--point", options->point,
                   "centre, or a quadrant (1: +x+y, 2: -x+y, 3: -x-y, 4: +x-y of the plate), 60 % "
                   "of the way to the edges")
      ->check(CLI::IsMember({"centre", "1", "2", "3", "4"}))
      ->capture_default_str();
  add_limit(*weight, "--force-limit", "Of the force's error, such as 1%", options->weight_force);
  add_limit(*weight, "--point-limit", "Of the point's distance, such as 5mm", options->weight_cop);
  weight->callback([options, &exit_code] {
    const auto mass = above_zero(options->mass, Dimension::mass, "--mass");
    if (!mass) return finish(*options, tl::make_unexpected(mass.error()), exit_code);
    const drivers::PlateChoice plate{
        options->plate == "back" ? session::PlateRole::back : session::PlateRole::lead,
        options->plate_number};
    const auto sheet = run(
        *options, "Keep the plate empty for 2 s, then put the weight on and let it rest",
        [&](const session::Reader& reader, const drivers::CheckLimits& limits) {
          return drivers::check_weight(reader, plate, *mass, points().at(options->point), limits);
        });
    finish(*options, sheet, exit_code);
  });

  CLI::App* fork = add_kind(*command, "fork", "The radar against a tuning fork", options);
  fork->add_option("--frequency", options->frequency, "Of the fork, such as 4676.7Hz")->required();
  add_limit(*fork, "--speed-limit", "Of the speed's error beside half a step, such as 0.3%",
            options->fork_speed);
  fork->callback([options, &exit_code] {
    const auto frequency = above_zero(options->frequency, Dimension::frequency, "--frequency");
    if (!frequency) return finish(*options, tl::make_unexpected(frequency.error()), exit_code);
    finish(*options,
           run(*options, "Strike the fork before the radar",
               [&](const auto& reader, const auto& limits) {
                 return drivers::check_fork(reader, *frequency, limits);
               }),
           exit_code);
  });

  CLI::App* tap =
      add_kind(*command, "tap", "Knocks for the common clock of plates and microphone", options);
  tap->add_option("--microphone-distance", options->microphone_distance,
                  "From the back plate's middle to the microphone, such as 19.2m, when it is not "
                  "held beside the knocks");
  add_limit(*tap, "--tap-limit", "Of the time between two devices, such as 2ms", options->tap);
  tap->callback([options, &exit_code] {
    double distance = 0.0;
    if (!options->microphone_distance.empty()) {
      const auto given =
          above_zero(options->microphone_distance, Dimension::length, "--microphone-distance");
      if (!given) return finish(*options, tl::make_unexpected(given.error()), exit_code);
      distance = *given;
    }
    finish(
        *options,
        run(*options, "Knock five times between the plates, or five times on each, a second apart",
            [&](const auto& reader, const auto& limits) {
              return drivers::check_taps(reader, distance, limits);
            }),
        exit_code);
  });

  for (const drivers::StationKind* kind : drivers::checked_kinds()) {
    const drivers::KindCheck& check = *kind->check;
    CLI::App* own = add_kind(*command, std::string(check.key), std::string(check.title), options);
    own->callback([options, &exit_code, &check] {
      finish(*options, run(*options, std::string(check.task), check.evaluate), exit_code);
    });
  }
}

}  // namespace moundwork::cli
