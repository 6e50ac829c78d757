// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/relate.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <charconv>
#include <filesystem>
#include <iostream>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "app/cli/error_words.h"
#include "app/cli/json_text.h"
#include "app/cli/progress.h"
#include "app/cli/whole_number.h"
#include "core/definitions/catalogue.h"
#include "core/definitions/shown_unit.h"
#include "core/relate/change.h"
#include "core/relate/cue.h"
#include "core/relate/json.h"
#include "core/relate/relation.h"
#include "core/relate/repeat.h"
#include "core/relate/session_input.h"
#include "core/relate/shown.h"
#include "core/relate/table_input.h"
#include "core/relate/text.h"
#include "core/session/results.h"
#include "core/session/throw_fields.h"

namespace moundwork::cli {
namespace {

using relate::Pitches;
using relate::Settings;

struct RelateOptions {
  std::vector<std::string> sessions;
  std::optional<std::string> table;
  relate::TableColumns columns;
  std::vector<std::string> only, only_types;
  bool change = false;
  bool reliability = false;
  relate::ChangeRequest request;
  std::vector<std::string> typical_errors;
  int change_days = session::usual_change_days;
  std::vector<std::string> targets;
  std::optional<std::string> cue_tag;
  Settings settings;
  std::string speed_unit = "m/s";
  bool json = false;
};

Result<std::map<std::string, double>> read_typical_errors(const std::vector<std::string>& texts) {
  std::map<std::string, double> errors;
  for (const auto& text : texts) {
    const auto at = text.rfind('=');
    double value = 0.0;
    const char* const end = text.data() + text.size();
    if (at == std::string::npos || std::from_chars(text.data() + at + 1, end, value).ptr != end ||
        at + 1 == text.size())
      return fail("--typical-error", fmt::format("'{}' is not QUANTITY=NUMBER", text));
    errors[text.substr(0, at)] = value;
  }
  return errors;
}

Result<void> check_only(const Pitches& pitches, const std::vector<std::string>& athletes) {
  for (const auto& athlete : athletes)
    if (std::none_of(pitches.rows.begin(), pitches.rows.end(),
                     [&](const auto& row) { return row.athlete == athlete; }))
      return fail("--only", fmt::format("there is no athlete '{}'", athlete));
  return {};
}

Result<void> keep_only_types(Pitches& pitches, const std::vector<std::string>& wanted) {
  if (wanted.empty()) return {};
  std::set<std::string> there, kept;
  for (const auto& row : pitches.rows)
    if (!row.pitch_type.empty()) there.insert(row.pitch_type);
  for (const auto& text : wanted) {
    auto type = session::checked_text(session::ThrowField::pitch_type, text, "--only-type");
    if (!type) return tl::unexpected(type.error());
    if (!there.contains(*type))
      return fail(
          "--only-type",
          there.empty() ? fmt::format("no throw has a pitch type, so none is '{}'", *type)
                        : fmt::format("there is no throw of type '{}'", *type),
          there.empty() ? std::string() : fmt::format("the types are {}", fmt::join(there, ", ")));
    kept.insert(std::move(*type));
  }
  std::erase_if(pitches.rows, [&](const auto& row) { return !kept.contains(row.pitch_type); });
  return {};
}

void keep_only(Pitches& pitches, const std::vector<std::string>& athletes) {
  if (athletes.empty()) return;
  const auto other = [&](const auto& of) {
    return std::find(athletes.begin(), athletes.end(), of.athlete) == athletes.end();
  };
  std::erase_if(pitches.rows, other);
  std::erase_if(pitches.retests, other);
}

Result<Pitches> load_table(const RelateOptions& options) {
  const auto& columns = options.columns;
  if (columns.athlete.empty() || columns.ball_speed.empty() || columns.quantities.empty())
    return fail("relate", "--table needs --athlete, --ball-speed and at least one --quantity");
  const auto table = relate::read_text_table(*options.table);
  if (!table) return tl::unexpected(table.error());
  return relate::pitches_from_table(*table, columns);
}

Result<Pitches> load_sessions(const RelateOptions& options) {
  if (options.sessions.empty())
    return fail("relate", "there is nothing to read", "name session files, or a --table");
  // "*.h5" takes in the companion files that hold the results; those are read with their sessions.
  std::set<std::filesystem::path> companions;
  for (const auto& path : options.sessions) companions.insert(session::companion_path(path));
  std::vector<relate::AnalysedSession> sessions;
  for (const auto& path : options.sessions) {
    if (companions.contains(path)) continue;
    auto session = relate::read_analysed_session(path);
    if (!session) return tl::unexpected(session.error());
    sessions.push_back(std::move(*session));
  }
  return relate::pitches_from_sessions(std::move(sessions), options.columns.quantities,
                                       options.change_days);
}

Result<Pitches> load(const RelateOptions& options) {
  auto pitches = options.table ? load_table(options) : load_sessions(options);
  if (!pitches) return pitches;
  if (auto there = check_only(*pitches, options.only); !there) return tl::unexpected(there.error());
  if (auto kept = keep_only_types(*pitches, options.only_types); !kept)
    return tl::unexpected(kept.error());
  const bool usable = std::any_of(pitches->rows.begin(), pitches->rows.end(), [&](const auto& row) {
    return !row.athlete.empty() && row.ball_speed.known() &&
           (options.only.empty() ||
            std::find(options.only.begin(), options.only.end(), row.athlete) != options.only.end());
  });
  if (!usable)
    return fail(options.table.value_or("relate"), "no pitch has both an athlete and a ball speed");
  return pitches;
}

// People read sessions in their own units; a table has those it came with, JSON is SI.
void show_units(Pitches& pitches, RelateOptions& options) {
  // The parser took no other symbol.
  const definitions::ChosenUnits chosen{
      .speed = definitions::speed_unit_from(options.speed_unit).value()};
  for (auto& [key, error] : options.request.typical_errors)
    if (const auto quantity = definitions::find_quantity(key))
      error *= definitions::shown_unit(key, definitions::entry(*quantity).unit, chosen).factor;
  relate::show_units(pitches, chosen);
}

struct Output {
  nlohmann::ordered_json json;
  std::string text;

  void add(const std::string& part) { text += (text.empty() ? "" : "\n") + part; }
};

Result<void> add_change(Output& output, const Pitches& everybody, const RelateOptions& options) {
  relate::ChangeRequest request = options.request;
  // The others' retests tell what days differ by.
  request.athletes = options.only;
  const auto changes = relate::find_changes(everybody, request, options.settings);
  if (!changes) return tl::unexpected(changes.error());
  output.json.update(relate::to_json(*changes));
  output.add(relate::to_text(*changes));
  return {};
}

Result<void> add_parts(Output& output, const Pitches& pitches, const RelateOptions& options) {
  const Settings& settings = options.settings;
  if (!options.change && !options.reliability) {
    ProgressLine line;
    Settings with_progress = settings;
    with_progress.resample.progress = line.of("resampling athletes");
    const auto report = relate::relate(pitches, with_progress);
    output.json = relate::to_json(report, settings);
    output.add(relate::to_text(report, settings));
  }
  if (options.columns.cue || options.cue_tag) {
    const auto cue =
        relate::test_cue(pitches, options.cue_tag == "any" ? "" : options.cue_tag.value_or(""),
                         options.targets, settings);
    if (!cue) return tl::unexpected(cue.error());
    output.json["cue"] = relate::to_json(*cue);
    output.add(relate::to_text(*cue, settings));
  }
  if (options.reliability) {
    const auto repeats = relate::repeatability(pitches, settings);
    output.json["reliability"] = relate::to_json(repeats);
    output.add(relate::to_text(repeats, settings));
  }
  return {};
}

Result<void> run(RelateOptions options) {
  auto typical_errors = read_typical_errors(options.typical_errors);
  if (!typical_errors) return tl::unexpected(typical_errors.error());
  options.request.typical_errors = std::move(*typical_errors);
  options.settings.permutation.seed = options.settings.resample.seed;
  auto pitches = load(options);
  if (!pitches) return tl::unexpected(pitches.error());
  if (!options.table && !options.json) show_units(*pitches, options);
  Pitches chosen = *pitches;
  keep_only(chosen, options.only);
  Output output;
  if (auto done = add_parts(output, chosen, options); !done) return done;
  if (options.change)
    if (auto done = add_change(output, *pitches, options); !done) return done;
  if (options.json)
    std::cout << json_text(output.json) << '\n';
  else
    std::cout << output.text;
  return {};
}

constexpr const char* input_group = "Input";
constexpr const char* cue_group = "Cue test";
constexpr const char* repeat_group = "Repeating";

struct Words {
  const char *name, *says, *type, *group;
};

// An option that makes sense with another alone, where one is named.
template <class Target>
CLI::Option* add(CLI::App& command, const Words& words, Target& target,
                 CLI::Option* needs = nullptr) {
  CLI::Option* option = command.add_option(words.name, target, words.says);
  option->type_name(words.type)->group(words.group);
  // "--quantity a b" would otherwise take a session's file for a quantity.
  option->allow_extra_args(false);
  if (needs != nullptr) option->needs(needs);
  return option;
}

void add_input(CLI::App& command, RelateOptions& options, CLI::Option* table) {
  auto& columns = options.columns;
  const auto column = [&](const char* name, auto& target, const char* says) {
    add(command, {name, says, "COLUMN", input_group}, target, table);
  };
  column("--athlete", columns.athlete, "column with the athlete's name or number");
  column("--ball-speed", columns.ball_speed, "column with the ball speed");
  add(command,
      {"--quantity", "column (or quantity of a session) to relate to it; may be repeated", "NAME",
       input_group},
      columns.quantities);
  column("--mass", columns.mass, "column with the body mass, to compare at equal size");
  column("--height", columns.height, "column with the body height, likewise");
  column("--age", columns.age, "column with the age, likewise");
  column("--session", columns.session, "column that tells sessions apart");
  column("--pitch-type", columns.pitch_type, "column with the pitch type");
  column("--delivery", columns.delivery, "column with wind-up or stretch");
  column("--effort", columns.effort, "column with the effort and its scale: 90% or 9/10");
  column("--throw", columns.number, "column with the pitch's number in its session");
  add(command,
      {"--uncertainty", "QUANTITY=COLUMN or QUANTITY=NUMBER: its standard uncertainty", "TEXT",
       input_group},
      columns.uncertainties, table);
  add(command,
      {"--only-type", "throws of this pitch type only; may be repeated", "TYPE", input_group},
      options.only_types);
  add(command, {"--only", "this athlete's rows only; may be repeated", "ATHLETE", input_group},
      options.only);
}

void add_cue_test(CLI::App& command, RelateOptions& options, CLI::Option* table) {
  add(command, {"--cue", "column with the cue given, empty for none", "COLUMN", cue_group},
      options.columns.cue, table);
  add(command,
      {"--cue-tag", "the cue to test, or any: pitches tagged with it against those without", "TAG",
       cue_group},
      options.cue_tag);
  add(command,
      {"--target", "quantity the cue aims at; all that are tested when not said", "COLUMN",
       cue_group},
      options.targets);
  add(command, {"--block", "column that tells blocks of a session apart", "COLUMN", cue_group},
      options.columns.block, table);
}

void add_repeating(CLI::App& command, RelateOptions& options, CLI::Option* table) {
  command.add_flag("--reliability", options.reliability, "how well each quantity repeats")
      ->group(repeat_group);
  CLI::Option* change = command
                            .add_flag("--change", options.change,
                                      "what changed for each athlete between two sessions")
                            ->group(repeat_group);
  add(command, {"--from", "earlier session; the first when not said", "SESSION", repeat_group},
      options.request.from, change);
  add(command, {"--to", "later session; the last when not said", "SESSION", repeat_group},
      options.request.to, change);
  add(command,
      {"--typical-error",
       "QUANTITY=NUMBER: typical error of a session's mean, from a retest of your own", "TEXT",
       repeat_group},
      options.typical_errors, change);
  add(command,
      {"--retest",
       "column that names the session that this one repeats, nothing changed on purpose", "COLUMN",
       repeat_group},
      options.columns.retest, table);
  command
      .add_option("--change-days", options.change_days,
                  "most days between a session and its retest, of those named by edit retest")
      ->check(CLI::Range(0, 366))
      ->capture_default_str()
      ->excludes(table)
      ->group(repeat_group);
}

void add_relate_options(CLI::App& command, RelateOptions& options) {
  auto& settings = options.settings;
  command.add_option("sessions", options.sessions, "analysed session files")->type_name("FILE");
  CLI::Option* table =
      command.add_option("--table", options.table, "delimited text with a header line")
          ->excludes("sessions")
          ->type_name("FILE")
          ->group(input_group);
  add_input(command, options, table);
  add_cue_test(command, options, table);
  add_repeating(command, options, table);
  command.add_option("--level", settings.level, "confidence of the intervals")
      ->check(CLI::Range(0.5, 0.999))
      ->capture_default_str()
      ->group("Settings");
  command
      .add_option("--false-discovery", settings.false_discovery,
                  "share of false findings allowed among those shown")
      ->check(CLI::Range(0.001, 0.5))
      ->capture_default_str()
      ->group("Settings");
  command.add_option("--worth", settings.worth, "smallest correlation worth knowing of")
      ->check(CLI::Range(0.05, 0.95))
      ->capture_default_str()
      ->group("Settings");
  command.add_option("--resamples", settings.resample.resamples, "resamples of whole athletes")
      ->check(CLI::Range(1000, 1000000))
      ->capture_default_str()
      ->group("Settings");
  command.add_option("--seed", settings.resample.seed, "of the random numbers")
      ->check(CLI::Validator(whole_number, "WHOLE NUMBER"))
      ->capture_default_str()
      ->group("Settings");
  command
      .add_option("--speed-unit", options.speed_unit,
                  "ball speed unit of the text about sessions; JSON is in m/s")
      ->check(CLI::IsMember({"m/s", "km/h", "mph"}))
      ->capture_default_str()
      ->excludes("--table");
  command.add_flag("--json", options.json, "print JSON instead of text");
}

}  // namespace

void add_relate(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<RelateOptions>();
  auto* command = app.add_subcommand(
      "relate", "What goes with ball speed, within and between athletes, and how surely");
  add_relate_options(*command, *options);
  command->callback([options, &exit_code] {
    const auto done = run(*options);
    if (done) return;
    std::cerr << "moundwork relate: " << error_words(done.error()) << '\n';
    exit_code = 1;
  });
}

}  // namespace moundwork::cli
