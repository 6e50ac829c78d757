// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/safety/pitch_count.h"

#include <fmt/format.h>
#include <toml++/toml.h>

#include "core/base/plain_file.h"

namespace moundwork::safety {
namespace {

// What is wrong with a table as a whole; empty if nothing.
std::string fault_of(const PitchCountTable& table) {
  if (table.source.empty()) return "names no source";
  if (table.dated.empty()) return "has no date";
  // They stand on a page among other things.
  constexpr std::size_t longest = 160;
  if (table.source.size() > longest || table.dated.size() > longest || table.note.size() > longest)
    return fmt::format("has a source, date or note of more than {} characters", longest);
  if (table.bands.empty()) return "holds no [[band]]";
  const AgeBand* before = nullptr;
  for (const AgeBand& band : table.bands) {
    const std::string name = fmt::format("band {} to {}", band.from, band.to);
    if (band.from < 0 || band.to < band.from || band.to > 120) return name + " is no range of ages";
    if (before != nullptr && band.from <= before->to)
      return name + " overlaps the band before or is out of order";
    if (band.most_a_day <= 0) return name + " has no positive most_a_day";
    if (band.rest.empty()) return name + " says nothing of rest";
    int pitches = 0;
    int days = -1;
    for (const RestStep& step : band.rest) {
      if (step.pitches <= pitches || step.days <= days)
        return name + " has rest steps that do not ascend";
      pitches = step.pitches;
      days = step.days;
    }
    if (band.rest_beyond <= days) return name + " has a rest_beyond that is not the longest rest";
    before = &band;
  }
  return {};
}

int whole(const toml::table& from, std::string_view key) {
  const auto value = from[key].value_exact<std::int64_t>();
  constexpr std::int64_t most = 1000;
  return value && *value >= 0 && *value <= most ? static_cast<int>(*value) : -1;
}

AgeBand band_from(const toml::table& from) {
  AgeBand band{whole(from, "from"),
               whole(from, "to"),
               whole(from, "most_a_day"),
               {},
               whole(from, "rest_beyond")};
  if (const auto* steps = from["rest"].as_array())
    for (const auto& step : *steps) {
      const auto* pair = step.as_array();
      const bool numbers = pair != nullptr && pair->size() == 2 && (*pair)[0].is_integer() &&
                           (*pair)[1].is_integer();
      // A pair of 0 stops as "does not ascend".
      band.rest.push_back(numbers ? RestStep{(*pair)[0].value_or(0), (*pair)[1].value_or(0)}
                                  : RestStep{});
    }
  return band;
}

}  // namespace

const PitchCountTable& common_pitch_counts() {
  // Up to 14 and from 15 on; the ages below 15 share their rest, whatever the daily limit.
  static const std::vector<RestStep> young{{20, 0}, {35, 1}, {50, 2}, {65, 3}};
  static const std::vector<RestStep> older{{30, 0}, {45, 1}, {60, 2}, {75, 3}};
  static const PitchCountTable table{
      "Little League Baseball, Regulation VI (pitch counts), as restated by secondary sources",
      "2026-11",
      "The limits count pitches in games; warm-up and test throws load the arm too.",
      {{7, 8, 50, young, 4},
       {9, 10, 75, young, 4},
       {11, 12, 85, young, 4},
       {13, 14, 95, young, 4},
       {15, 16, 95, older, 4},
       {17, 18, 105, older, 4}}};
  return table;
}

Result<PitchCountTable> read_pitch_counts(const std::filesystem::path& path) {
  if (auto file = refuse_endless(path); !file) return tl::make_unexpected(file.error());
  PitchCountTable table;
  try {
    const toml::table file = toml::parse_file(path.string());
    table.source = file["source"].value_or(std::string());
    table.dated = file["dated"].value_or(std::string());
    table.note = file["note"].value_or(std::string());
    if (const auto* bands = file["band"].as_array())
      for (const auto& band : *bands)
        table.bands.push_back(band.is_table() ? band_from(*band.as_table()) : AgeBand{});
  } catch (const toml::parse_error& error) {
    return fail(path.string(),
                fmt::format("cannot be read as TOML: {} (line {})", error.description(),
                            error.source().begin.line),
                "docs/summaries.md shows such a table");
  }
  if (const std::string fault = fault_of(table); !fault.empty())
    return fail(path.string(), fault, "docs/summaries.md shows such a table");
  return table;
}

const AgeBand* band_of(const PitchCountTable& table, int age) {
  for (const AgeBand& band : table.bands)
    if (age >= band.from && age <= band.to) return &band;
  return nullptr;
}

int rest_days(const AgeBand& band, int pitches) {
  for (const RestStep& step : band.rest)
    if (pitches <= step.pitches) return step.days;
  return band.rest_beyond;
}

}  // namespace moundwork::safety
