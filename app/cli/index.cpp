// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/index.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "app/cli/json_text.h"
#include "app/cli/progress.h"
#include "app/lab/queries.h"
#include "app/lab/rebuild.h"
#include "app/lab/store.h"
#include "core/base/one_line.h"
#include "core/base/units.h"
#include "core/relate/words.h"
#include "core/stats/descriptive.h"
#include "core/summary/group.h"

namespace moundwork::cli {
namespace {

using definitions::Quantity;
using nlohmann::ordered_json;
using relate::count_of;

struct Options {
  std::string index;
  bool json = false;
  std::vector<std::string> files, folders;
  bool again = false;
  std::string athlete;
  std::vector<std::string> quantities;
  std::string hand;
  lab::GroupFilter filter;
  std::string speed_unit = "m/s";
};

void complain(const Error& error) { std::cerr << "moundwork index: " << error.sentence() << '\n'; }

Result<lab::Index> open(const Options& options, lab::Access access) {
  const auto address = lab::choose_address(options.index);
  if (!address) return tl::make_unexpected(address.error());
  return lab::open_index(*address, access);
}

std::string day_of(const std::string& started) { return started.substr(0, 10); }

// Names in files may be anything.
void print(const ordered_json& document) { std::cout << json_text(document) << '\n'; }

// Not known is null, as everywhere in the JSON of this program.
ordered_json or_null(double value) {
  return std::isfinite(value) ? ordered_json(value) : ordered_json();
}
ordered_json or_null(const std::optional<int>& value) {
  return value ? ordered_json(*value) : ordered_json();
}

const char* word_for(lab::Stored stored) {
  switch (stored) {
    case lab::Stored::added:
      return "added";
    case lab::Stored::replaced:
      return "replaced";
    case lab::Stored::older_copy:
      return "older copy";
    case lab::Stored::forgotten:
      return "left out";
  }
  throw std::logic_error("a kind of storing without a word");
}

// --- rebuild -----------------------------------------------------------------------------------

std::string in_words(const lab::Rebuilt& rebuilt) {
  std::string text =
      fmt::format("{} entered from {}", count_of(rebuilt.sessions, "session", "sessions"),
                  count_of(rebuilt.files, "file", "files"));
  if (rebuilt.seconds > 0.0 && rebuilt.files > 0)
    text += fmt::format(" in {:.1f} s ({:.0f} sessions/s, {:.0f} MB/s of files)", rebuilt.seconds,
                        rebuilt.files / rebuilt.seconds,
                        1e-6 * static_cast<double>(rebuilt.bytes) / rebuilt.seconds);
  text += ".\n";
  if (rebuilt.dropped > 0)
    text += fmt::format("{} no longer there: taken out.\n",
                        count_of(rebuilt.dropped, "session is", "sessions are"));
  if (rebuilt.left_out > 0)
    text += fmt::format("{} left out: deleted on purpose earlier.\n",
                        count_of(rebuilt.left_out, "file was", "files were"));
  return text;
}

int rebuild(const Options& options) {
  const auto index = open(options, lab::Access::write);
  if (!index) return complain(index.error()), 1;
  const auto rebuilt = [&] {
    ProgressLine line;
    return lab::rebuild(*index, {options.folders.begin(), options.folders.end()},
                        line.of("reading sessions"));
  }();
  if (!rebuilt) return complain(rebuilt.error()), 1;
  for (const std::string& remark : rebuilt->remarks)
    std::cerr << "moundwork index: " << remark << ".\n";
  for (const Error& bad : rebuilt->bad) complain(bad);
  if (options.json) {
    ordered_json bad = ordered_json::array();
    for (const Error& one : rebuilt->bad) bad.push_back(one.sentence());
    print({{"index", index->connection.where()},
           {"sessions", rebuilt->sessions},
           {"files", rebuilt->files},
           {"bytes", rebuilt->bytes},
           {"seconds", rebuilt->seconds},
           {"dropped", rebuilt->dropped},
           {"left_out", rebuilt->left_out},
           {"bad", std::move(bad)},
           {"remarks", rebuilt->remarks}});
  } else {
    std::cout << in_words(*rebuilt);
  }
  return rebuilt->bad.empty() ? 0 : 1;
}

// --- add ---------------------------------------------------------------------------------------

int add(const Options& options) {
  const auto index = open(options, lab::Access::write);
  if (!index) return complain(index.error()), 1;
  int exit_code = 0;
  ordered_json list = ordered_json::array();
  for (const std::string& file : options.files) {
    const auto entry = lab::read_entry(file);
    if (!entry) {
      complain(entry.error());
      exit_code = 1;
      continue;
    }
    const auto done = lab::put(*index, *entry, options.again);
    if (!done) {
      complain(done.error());
      exit_code = 1;
      continue;
    }
    if (done->stored == lab::Stored::forgotten) exit_code = 1;
    if (options.json) {
      list.push_back({{"file", entry->path.string()},
                      {"session", entry->id},
                      {"athlete", entry->identity()},
                      {"stored", word_for(done->stored)},
                      {"throws", entry->throws.size()},
                      {"copies", done->copies},
                      {"remarks", done->remarks}});
      continue;
    }
    std::cout << file << ": " << word_for(done->stored);
    if (done->stored != lab::Stored::forgotten) {
      std::cout << ", " << count_of(static_cast<int>(entry->throws.size()), "throw", "throws")
                << " of "
                << (entry->identity().empty() ? "nobody named" : one_line(entry->identity()));
      if (entry->made.empty()) std::cout << ", not analysed yet";
    }
    for (const std::string& copy : done->copies) std::cout << "\n  also at " << copy;
    for (const std::string& remark : done->remarks) std::cout << "\n  " << remark;
    std::cout << '\n';
  }
  if (options.json) print({{"files", std::move(list)}});
  return exit_code;
}

// --- list --------------------------------------------------------------------------------------

ordered_json json_of(const lab::Location& location) {
  ordered_json json{{"station", location.station}, {"path", location.path}};
  if (!location.problem.empty()) json["problem"] = location.problem;
  return json;
}

std::string line_of(const lab::ListedSession& session, const std::string& station) {
  const int counted = session.throw_count - session.excluded_count;
  std::string text = fmt::format("  {:<10}  {:>4} {}",
                                 session.started.empty() ? "deleted" : day_of(session.started),
                                 counted, counted == 1 ? "throw " : "throws");
  if (session.excluded_count > 0) text += fmt::format(" (and {} excluded)", session.excluded_count);
  if (session.made.empty() && !session.started.empty()) text += ", not analysed yet";
  for (const lab::Location& location : session.locations) {
    text += &location == &session.locations.front() ? "  " : "\n              also at ";
    text += location.station == station ? location.path : location.station + ": " + location.path;
    if (!location.problem.empty()) text += " (not deleted: " + location.problem + ")";
  }
  return text + "\n";
}

int list(const Options& options) {
  const auto index = open(options, lab::Access::read);
  if (!index) return complain(index.error()), 1;
  const auto athletes = lab::athletes(*index);
  if (!athletes) return complain(athletes.error()), 1;
  const auto sessions = lab::sessions(*index);
  if (!sessions) return complain(sessions.error()), 1;
  if (options.json) {
    ordered_json people = ordered_json::array(), files = ordered_json::array();
    for (const auto& athlete : *athletes)
      people.push_back({{"id", athlete.id},
                        {"name", athlete.name},
                        {"born", athlete.born},
                        {"throws", athlete.throws == session::Hand::left ? "left" : "right"},
                        {"sessions", athlete.sessions},
                        {"throw_count", athlete.throw_count},
                        {"first", athlete.first},
                        {"last", athlete.last},
                        {"forgotten", athlete.forgotten}});
    for (const auto& session : *sessions) {
      ordered_json places = ordered_json::array();
      for (const auto& location : session.locations) places.push_back(json_of(location));
      files.push_back({{"id", session.id},
                       {"athlete", session.athlete},
                       {"started", session.started},
                       {"origin", session.origin},
                       {"analysed", session.made},
                       {"age", or_null(session.age)},
                       {"throws", session.throw_count},
                       {"excluded", session.excluded_count},
                       {"locations", std::move(places)}});
    }
    print({{"index", index->connection.where()},
           {"athletes", std::move(people)},
           {"sessions", std::move(files)}});
    return 0;
  }
  const auto print_sessions = [&](const std::string& athlete) {
    for (const auto& session : *sessions)
      if (session.athlete == athlete) std::cout << line_of(session, index->station);
  };
  for (const auto& athlete : *athletes) {
    std::cout << one_line(athlete.id);
    if (!athlete.name.empty() && athlete.name != athlete.id)
      std::cout << ", " << one_line(athlete.name);
    if (!athlete.forgotten.empty())
      std::cout << ": deletion began on " << day_of(athlete.forgotten) << ", left are";
    std::cout << '\n';
    print_sessions(athlete.id);
  }
  if (std::any_of(sessions->begin(), sessions->end(),
                  [](const auto& session) { return session.athlete.empty(); })) {
    std::cout << "nobody named\n";
    print_sessions({});
  }
  std::cout << fmt::format("{}, {} in {}.\n",
                           count_of(static_cast<int>(athletes->size()), "athlete", "athletes"),
                           count_of(static_cast<int>(sessions->size()), "session", "sessions"),
                           index->connection.where());
  return 0;
}

// --- quantities on the screen --------------------------------------------------------------------

struct Shown {
  Quantity quantity;
  std::string key, unit;
  double factor = 1.0;
};

Result<std::vector<Shown>> shown_of(const Options& options, std::vector<Quantity> usual) {
  std::vector<Shown> list;
  if (!options.quantities.empty()) {
    usual.clear();
    for (const std::string& key : options.quantities) {
      const auto quantity = definitions::find_quantity(key);
      if (!quantity)
        return fail("--quantity", fmt::format("'{}' is not a quantity of a throw", key),
                    "docs/definitions.md lists them");
      usual.push_back(*quantity);
    }
  }
  for (const Quantity quantity : usual) {
    const auto& entry = definitions::entry(quantity);
    Shown shown{quantity, std::string(entry.key), std::string(entry.unit)};
    if (quantity == Quantity::ball_speed && options.speed_unit != "m/s") {
      shown.unit = options.speed_unit;
      shown.factor = 1.0 / (options.speed_unit == "mph" ? mps_per_mph : mps_per_kmh);
    } else if (shown.unit == "s") {
      shown.unit = "ms";
      shown.factor = 1e3;
    }
    list.push_back(std::move(shown));
  }
  return list;
}

// --- history -----------------------------------------------------------------------------------

int history(const Options& options) {
  const auto index = open(options, lab::Access::read);
  if (!index) return complain(index.error()), 1;
  const auto shown =
      shown_of(options, {Quantity::ball_speed, Quantity::heel_toe_at_drive_peak,
                         Quantity::drive_impulse_per_mass, Quantity::braking_impulse_per_mass,
                         Quantity::braking_timing});
  if (!shown) return complain(shown.error()), 1;
  const auto athlete = lab::find_athlete(*index, options.athlete);
  if (!athlete) return complain(athlete.error()), 1;
  ordered_json document{{"athlete", athlete->id}, {"quantities", ordered_json::array()}};
  std::string text;
  for (const Shown& one : *shown) {
    const auto means = lab::history(*index, athlete->id, one.quantity);
    if (!means) return complain(means.error()), 1;
    ordered_json sessions = ordered_json::array();
    if (!means->empty()) text += fmt::format("{}, {}\n", one.key, one.unit);
    for (const lab::SessionMean& mean : *means) {
      sessions.push_back({{"session", mean.session},
                          {"started", mean.started},
                          {"age", or_null(mean.age)},
                          {"throws", mean.n},
                          {"mean", or_null(mean.mean.value)},
                          {"u", or_null(mean.mean.u)},
                          {"sd", or_null(mean.sd)},
                          {"lowest", or_null(mean.lowest)},
                          {"highest", or_null(mean.highest)}});
      const double f = one.factor;
      const auto digits = [&](double value) { return relate::rounded(value * f, mean.mean.u * f); };
      text += fmt::format("  {:<10}  {:>4} {}  mean {:>8}  from {:>8} to {:>8}  u {}\n",
                          day_of(mean.started), mean.n, mean.n == 1 ? "throw " : "throws",
                          digits(mean.mean.value), digits(mean.lowest), digits(mean.highest),
                          digits(mean.mean.u));
    }
    document["quantities"].push_back({{"quantity", one.key},
                                      {"unit", definitions::entry(one.quantity).unit},
                                      {"sessions", std::move(sessions)}});
  }
  if (options.json)
    print(document);
  else if (text.empty())
    std::cout << one_line(athlete->id) << ": none of these was measured.\n";
  else
    std::cout << one_line(athlete->id + (athlete->name.empty() ? "" : ", " + athlete->name)) << '\n'
              << text;
  return 0;
}

// --- group -------------------------------------------------------------------------------------

constexpr std::array<int, 7> percentiles{5, 10, 25, 50, 75, 90, 95};

std::string filter_in_words(const Options& options) {
  std::string text;
  const auto& [from, to] = std::pair{options.filter.age_from, options.filter.age_to};
  if (from && to)
    text += fmt::format(", aged {} to {}", *from, *to);
  else if (from)
    text += fmt::format(", aged {} and above", *from);
  else if (to)
    text += fmt::format(", aged up to {}", *to);
  if (!options.hand.empty()) text += fmt::format(", throwing with the {}", options.hand);
  if (options.filter.least_throws > 1)
    text += fmt::format(", sessions of {} throws and more", options.filter.least_throws);
  return text;
}

// One quantity of a group: JSON always, words for people beside it.
Result<ordered_json> group_part(const lab::Index& index, const Options& options, const Shown& one,
                                const std::string& athlete, std::string& text) {
  const auto members = lab::group(index, one.quantity, options.filter);
  if (!members) return tl::make_unexpected(members.error());
  std::vector<double> others;
  const lab::Member* own = nullptr;
  double u = 0.0;
  for (const lab::Member& member : *members) {
    if (!athlete.empty() && member.athlete == athlete)
      own = &member;
    else
      others.push_back(member.mean.value);
    u = std::max(u, std::isfinite(member.mean.u) ? member.mean.u : 0.0);
  }
  const auto size = static_cast<int>(others.size());
  const auto shown = [&](double value) {
    return relate::rounded(value * one.factor, u * one.factor);
  };
  ordered_json json{
      {"quantity", one.key}, {"unit", definitions::entry(one.quantity).unit}, {"athletes", size}};
  text += fmt::format("{}, {}: {}{}{}\n", one.key, one.unit, count_of(size, "athlete", "athletes"),
                      filter_in_words(options),
                      athlete.empty() ? "" : ", without " + one_line(athlete));
  const Eigen::VectorXd ascending =
      Eigen::Map<const Eigen::VectorXd>(others.data(), static_cast<Eigen::Index>(others.size()));
  json["percentiles"] = nullptr;
  if (size >= summary::least_for_percentile) {
    ordered_json list;
    text += " ";
    for (const int percent : percentiles) {
      const double value = stats::sorted_quantile(ascending, 0.01 * percent);
      list[std::to_string(percent)] = value;
      text += fmt::format(" {} %: {} ", percent, shown(value));
    }
    json["percentiles"] = std::move(list);
    text += "\n";
  } else if (size >= summary::least_others) {
    json["lowest"] = others.front();
    json["median"] = stats::sorted_quantile(ascending, 0.5);
    json["highest"] = others.back();
    text += fmt::format("  lowest {}, median {}, highest {}; percentiles need {} athletes\n",
                        shown(others.front()), shown(json["median"].get<double>()),
                        shown(others.back()), summary::least_for_percentile);
  } else {
    text += fmt::format("  too few: with fewer than {} a number would be one person's\n",
                        summary::least_others);
  }
  if (athlete.empty()) return json;
  json["place"] = nullptr;
  if (own == nullptr) {
    text += fmt::format("  {} has no session that fits\n", one_line(athlete));
  } else if (size >= summary::least_others) {
    const auto place = summary::place_of(own->mean.value, others);
    json["place"] = {
        {"athlete", athlete},
        {"session", own->session},
        {"mean", own->mean.value},
        {"u", or_null(own->mean.u)},
        {"below", place.below},
        {"equal", place.equal},
        {"percentile", size >= summary::least_for_percentile ? ordered_json(place.percentile())
                                                             : ordered_json()}};
    text += fmt::format("  {}: {} on {}, {} of {} lie below", one_line(athlete),
                        shown(own->mean.value), day_of(own->started), place.below, size);
    if (size >= summary::least_for_percentile)
      text += fmt::format(", percentile {:.0f}", place.percentile());
    text += "\n";
  }
  return json;
}

int group(Options options) {
  const auto index = open(options, lab::Access::read);
  if (!index) return complain(index.error()), 1;
  const auto shown = shown_of(options, {});
  if (!shown) return complain(shown.error()), 1;
  if (!options.hand.empty())
    options.filter.throws = options.hand == "left" ? session::Hand::left : session::Hand::right;
  if (options.filter.age_from && options.filter.age_to &&
      *options.filter.age_from > *options.filter.age_to)
    return complain(Error{"--age-to", "is below --age-from", {}}), 1;
  std::string athlete;
  if (!options.athlete.empty()) {
    const auto found = lab::find_athlete(*index, options.athlete);
    if (!found) return complain(found.error()), 1;
    athlete = found->id;
  }
  ordered_json parts = ordered_json::array();
  std::string text;
  for (const Shown& one : *shown) {
    auto part = group_part(*index, options, one, athlete, text);
    if (!part) return complain(part.error()), 1;
    parts.push_back(std::move(*part));
  }
  if (options.json)
    print({{"groups", std::move(parts)}});
  else
    std::cout << text;
  return 0;
}

// --- the command's words -------------------------------------------------------------------------

void add_common(CLI::App& command, Options& options) {
  command
      .add_option("--index", options.index,
                  "File or postgresql://USER@HOST/DATABASE; MOUNDWORK_INDEX when not said, else a "
                  "file of this account")
      ->type_name("INDEX");
  command.add_flag("--json", options.json, "Print JSON in SI units");
}

void add_quantity(CLI::App& command, Options& options, bool required) {
  command
      .add_option("--quantity", options.quantities,
                  required ? "Quantity by its key; may be repeated"
                           : "Quantity by its key; may be repeated; five usual ones when not said")
      ->required(required)
      ->allow_extra_args(false)
      ->type_name("KEY");
  command.add_option("--speed-unit", options.speed_unit, "Ball speed unit of the text")
      ->check(CLI::IsMember({"m/s", "km/h", "mph"}))
      ->capture_default_str();
}

}  // namespace

void add_index(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<Options>();
  Options& o = *options;
  CLI::App* index =
      app.add_subcommand("index", "The lab's index: athletes, sessions and results of all files");
  index->require_subcommand(1);

  auto* rebuild_command = index->add_subcommand(
      "rebuild", "Make the index again from all session files in and below folders");
  rebuild_command->add_option("folders", o.folders, "Folders")->required()->type_name("FOLDER");
  add_common(*rebuild_command, o);
  rebuild_command->callback([options, &exit_code] { exit_code = rebuild(*options); });

  auto* add_command = index->add_subcommand(
      "add", "Enter session files, or bring them up to date after an analysis or edits");
  add_command->add_option("files", o.files, "Session files")->required()->type_name("FILE");
  add_command->add_flag("--again", o.again, "Take in sessions that were deleted on purpose, too");
  add_common(*add_command, o);
  add_command->callback([options, &exit_code] { exit_code = add(*options); });

  auto* list_command =
      index->add_subcommand("list", "Athletes, their sessions and where these lie");
  add_common(*list_command, o);
  list_command->callback([options, &exit_code] { exit_code = list(*options); });

  auto* history_command =
      index->add_subcommand("history", "An athlete's session means over the years");
  history_command->add_option("athlete", o.athlete, "Id, or name that only one has")
      ->required()
      ->type_name("ATHLETE");
  add_quantity(*history_command, o, false);
  add_common(*history_command, o);
  history_command->callback([options, &exit_code] { exit_code = history(*options); });

  auto* group_command = index->add_subcommand(
      "group", "Where athletes lie: each one's latest session mean, in percentiles");
  add_quantity(*group_command, o, true);
  group_command->add_option("--age-from", o.filter.age_from, "Youngest, in whole years")
      ->check(CLI::Range(0, 130))
      ->type_name("YEARS");
  group_command->add_option("--age-to", o.filter.age_to, "Oldest, in whole years")
      ->check(CLI::Range(0, 130))
      ->type_name("YEARS");
  group_command->add_option("--throws", o.hand, "Throwing hand")
      ->check(CLI::IsMember({"left", "right"}));
  group_command
      ->add_option("--least-throws", o.filter.least_throws,
                   "Pass over sessions with fewer throws of the quantity")
      ->check(CLI::Range(1, 1000))
      ->capture_default_str();
  group_command->add_option("--athlete", o.athlete, "Tell this athlete's place among the others")
      ->type_name("ATHLETE");
  add_common(*group_command, o);
  group_command->callback([options, &exit_code] { exit_code = group(*options); });
}

}  // namespace moundwork::cli
