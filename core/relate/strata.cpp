// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/strata.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <utility>

#include "core/base/sentence.h"
#include "core/relate/series.h"
#include "core/stats/serial.h"

namespace moundwork::relate {
namespace {

using Text = std::string (*)(const Pitch&);

struct Part {
  const char* key;
  Text of;
};

constexpr std::array<Part, 5> parts{{
    {"session", [](const Pitch& pitch) { return pitch.session; }},
    {"pitch_type", [](const Pitch& pitch) { return pitch.pitch_type; }},
    {"delivery", [](const Pitch& pitch) { return pitch.delivery; }},
    {"ball", [](const Pitch& pitch) { return pitch.ball; }},
    {"effort",
     [](const Pitch& pitch) {
       return std::isfinite(pitch.effort) ? fmt::format("{:.0f}", 10.0 * pitch.effort)
                                          : std::string();
     }},
}};

// With fewer throws a line would take as much as it is worth.
constexpr int least_rows_for_a_line = 5;

// Rows of each type; throws without one are of a type of their own.
std::map<std::string, int> types_of(const Pitches& pitches, std::span<const int> rows) {
  std::map<std::string, int> counts;
  for (const int row : rows) ++counts[pitches.rows[static_cast<std::size_t>(row)].pitch_type];
  return counts;
}

std::string most_thrown(const std::map<std::string, int>& counts) {
  const auto most =
      std::max_element(counts.begin(), counts.end(),
                       [](const auto& a, const auto& b) { return a.second < b.second; });
  return most == counts.end() ? std::string() : most->first;
}

}  // namespace

std::vector<int> rows_of_one_type(const Pitches& pitches, std::span<const int> rows) {
  const std::string type = most_thrown(types_of(pitches, rows));
  std::vector<int> kept;
  for (const int row : rows)
    if (pitches.rows[static_cast<std::size_t>(row)].pitch_type == type) kept.push_back(row);
  return kept;
}

std::string mixed_types(const Pitches& pitches, std::span<const int> rows) {
  const auto counts = types_of(pitches, rows);
  if (counts.size() < 2) return {};
  std::vector<std::string> types;
  for (const auto& [type, count] : counts)
    types.push_back(sentence("{count} {type}", "count"_is(count),
                             "type"_is(type.empty() ? sentence("of no type told") : type)));
  const std::string most = most_thrown(counts);
  return sentence(
      "Pitch types are not mixed: each is compared with its like ({types}), and between athletes "
      "{most} alone counts.",
      "types"_is(fmt::format("{}", fmt::join(types, ", "))),
      "most"_is(most.empty() ? sentence("what has no type told") : most));
}

Strata strata_of(const Pitches& pitches, std::span<const int> rows) {
  constexpr char separator = '\x1f';
  Strata strata;
  std::vector<std::string> labels;
  for (const int row : rows) labels.push_back(pitches.rows[static_cast<std::size_t>(row)].athlete);
  for (const Part& part : parts) {
    bool told = false;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const std::string text = part.of(pitches.rows[static_cast<std::size_t>(rows[i])]);
      told = told || !text.empty();
      labels[i] += separator + text;
    }
    if (told) strata.by.emplace_back(part.key);
  }
  strata.cells = stats::group_by(labels);
  const Eigen::VectorXd sizes = stats::group_sizes(strata.cells);
  strata.alone = static_cast<int>((sizes.array() < 2.0).count());
  strata.compared = strata.cells.count - strata.alone;
  return strata;
}

Grouping grouping_of(const Pitches& pitches, std::vector<int> rows) {
  Grouping grouping;
  grouping.athletes = by_athlete(pitches, rows);
  grouping.sessions = by_session(pitches, rows);
  grouping.strata = strata_of(pitches, rows);
  grouping.alike = rows_of_one_type(pitches, rows);
  grouping.alike_athletes = by_athlete(pitches, grouping.alike);
  grouping.rows = std::move(rows);
  return grouping;
}

WithinCells within_cells(const Pitches& pitches, const Grouping& grouping, int index,
                         double level) {
  WithinCells within;
  const auto& rows = grouping.rows;
  const stats::Groups& cells = grouping.strata.cells;
  const stats::Groups& sessions = grouping.sessions;
  const Eigen::VectorXd x = values(pitches, rows, index), y = values(pitches, rows, -1);
  const Eigen::VectorXd number = numbers(pitches, rows);
  const Eigen::VectorXd order = stats::within_groups(number, cells);
  auto x_left =
      stats::without_lines(stats::within_groups(x, cells), order, sessions, least_rows_for_a_line);
  auto y_left =
      stats::without_lines(stats::within_groups(y, cells), order, sessions, least_rows_for_a_line);
  within.x = std::move(x_left.values);
  within.y = std::move(y_left.values);
  within.ordered = x_left.lines > 0;
  within.lost = cells.count + x_left.lines + 1.0;
  const double df = static_cast<double>(rows.size()) - within.lost;
  double phi_x = 0.0, phi_y = 0.0;
  if (within.ordered) {
    phi_x = stats::neighbour_likeness(within.x, number, sessions, true);
    phi_y = stats::neighbour_likeness(within.y, number, sessions, true);
  }
  within.likeness = phi_x * phi_y;
  within.told = stats::residual_correlation(within.x, within.y, x, y,
                                            stats::effective_df(df, phi_x, phi_y), level);
  return within;
}

}  // namespace moundwork::relate
