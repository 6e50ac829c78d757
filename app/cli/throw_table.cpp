// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/throw_table.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <vector>

#include "core/base/one_line.h"
#include "core/base/shown_number.h"
#include "core/definitions/shown_unit.h"

namespace moundwork::cli {
namespace {

struct Column {
  std::string head;
  definitions::Quantity quantity;
  definitions::ShownUnit shown;
};

std::vector<Column> columns_for(const std::string& speed_unit) {
  using Q = definitions::Quantity;
  std::vector<Column> columns{
      {"ball speed", Q::ball_speed, {}},           {"drive peak", Q::drive_peak_force_bw, {}},
      {"heel-toe", Q::heel_toe_at_drive_peak, {}}, {"brake peak", Q::braking_peak_force_bw, {}},
      {"brake impulse", Q::braking_impulse, {}},   {"contact-release", Q::contact_to_release, {}},
      {"peak-release", Q::braking_timing, {}}};
  // The parser took no other symbol.
  const definitions::ChosenUnits chosen{.speed = definitions::speed_unit_from(speed_unit).value()};
  for (Column& column : columns) {
    const definitions::Entry& entry = definitions::entry(column.quantity);
    column.shown = definitions::shown_unit(entry.key, entry.unit, chosen);
  }
  return columns;
}

std::string cell(const Measured& measured, const definitions::ShownUnit& shown) {
  return measured.known() ? typed_minus(measured_text(shown.of(measured))) : "-";
}

// Columns of a terminal are characters, not bytes.
std::size_t width(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
  }));
}

std::string padded(const std::string& text, std::size_t wide) {
  return std::string(wide - std::min(wide, width(text)), ' ') + text;
}

}  // namespace

std::string throw_table(const pitch::Analysis& analysis, const std::string& session,
                        const std::string& athlete, const std::string& speed_unit) {
  std::string out = session;
  if (!athlete.empty()) out += ", " + one_line(athlete);
  out +=
      fmt::format(": {} throw{}\n", analysis.throws.size(), analysis.throws.size() == 1 ? "" : "s");
  for (const auto& remark : analysis.remarks) out += "  " + remark.detail + '\n';
  if (analysis.throws.empty()) return out;
  const std::vector<Column> columns = columns_for(speed_unit);
  std::vector<std::vector<std::string>> rows{{"", "at"}, {"throw", "s"}};
  for (const Column& column : columns) {
    rows[0].push_back(column.head);
    rows[1].push_back(column.shown.unit);
  }
  for (const auto& thrown : analysis.throws) {
    std::vector<std::string> row{
        fmt::format("{}{}{}", thrown.excluded ? "x " : "", thrown.number,
                    thrown.flags.empty() ? "" : "*"),
        fmt::format("{:.2f}", at(thrown.events, definitions::Event::lead_contact))};
    for (const Column& column : columns)
      row.push_back(cell(thrown.measured(column.quantity), column.shown));
    rows.push_back(std::move(row));
  }
  std::vector<std::size_t> widths(rows[0].size(), 0);
  for (const auto& row : rows)
    for (std::size_t c = 0; c < row.size(); ++c) widths[c] = std::max(widths[c], width(row[c]));
  for (const auto& row : rows) {
    for (std::size_t c = 0; c < row.size(); ++c) out += "  " + padded(row[c], widths[c]);
    out += '\n';
  }
  // The same doubt over many throws is said once.
  std::map<std::string, std::vector<int>> doubts;
  for (const auto& thrown : analysis.throws)
    for (const auto& flag : thrown.flags) doubts[flag.detail].push_back(thrown.number);
  for (const auto& [detail, numbers] : doubts) {
    const bool all = numbers.size() == analysis.throws.size() && numbers.size() > 1;
    std::string who = all ? "all throws" : "throw";
    if (!all)
      for (std::size_t i = 0; i < numbers.size(); ++i)
        who += fmt::format("{}{}", i == 0 ? " " : ", ", numbers[i]);
    out += fmt::format("  * {}: {}\n", who, detail);
  }
  for (const auto& thrown : analysis.throws)
    if (thrown.excluded)
      out += fmt::format("  x throw {}: excluded by {}: {}\n", thrown.number,
                         one_line(thrown.excluded->who), one_line(thrown.excluded->why));
  return out;
}

}  // namespace moundwork::cli
