// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "app/cli/index/commands.h"
#include "app/cli/index/common.h"
#include "app/index/queries.h"
#include "core/base/one_line.h"
#include "core/relate/words.h"

namespace moundwork::cli {
namespace {

using nlohmann::ordered_json;
using relate::count_of;

ordered_json json_of(const index::Location& location) {
  ordered_json json{{"station", location.station}, {"path", location.path}};
  if (!location.problem.empty()) json["problem"] = location.problem;
  return json;
}

std::string line_of(const index::ListedSession& session, const std::string& station) {
  const int counted = session.throw_count - session.excluded_count;
  std::string text =
      fmt::format("  {:<10}  {:>4} {}", session.started.empty() ? "deleted" : session.day, counted,
                  counted == 1 ? "throw " : "throws");
  if (session.excluded_count > 0) text += fmt::format(" (and {} excluded)", session.excluded_count);
  if (session.made.empty() && !session.started.empty()) text += ", not analysed yet";
  for (const index::Location& location : session.locations) {
    text += &location == &session.locations.front() ? "  " : "\n              also at ";
    text += location.station == station ? location.path : location.station + ": " + location.path;
    if (!location.problem.empty()) text += " (not deleted: " + location.problem + ")";
  }
  return text + "\n";
}

int list(const IndexOptions& options) {
  const auto index = open(options, index::Access::read);
  if (!index) return complain_of_index(index.error()), 1;
  const auto athletes = index::athletes(*index);
  if (!athletes) return complain_of_index(athletes.error()), 1;
  const auto sessions = index::sessions(*index);
  if (!sessions) return complain_of_index(sessions.error()), 1;
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
                       {"day", session.day},
                       {"origin", session.origin},
                       {"analysed", session.made},
                       {"age", or_null(session.age)},
                       {"throws", session.throw_count},
                       {"excluded", session.excluded_count},
                       {"locations", std::move(places)}});
    }
    print_json({{"index", index->connection.where()},
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
      std::cout << ": deletion began on " << day_here(athlete.forgotten) << ", left are";
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

}  // namespace

void add_index_list(CLI::App& index, int& exit_code) {
  auto options = std::make_shared<IndexOptions>();
  auto* command = index.add_subcommand("list", "Athletes, their sessions and where these lie");
  add_common(*command, *options);
  command->callback([options, &exit_code] { exit_code = list(*options); });
}

}  // namespace moundwork::cli
