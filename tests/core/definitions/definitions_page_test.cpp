// SPDX-License-Identifier: GPL-3.0-or-later
// The definitions page is what users quote, so it must say what the program does.
#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include "core/definitions/catalogue.h"
#include "core/definitions/flag_catalogue.h"
#include "core/definitions/settings.h"
#include "support/number.h"

namespace {

using moundwork::definitions::Event;
using moundwork::definitions::Quantity;

std::string trimmed(const std::string& text) {
  const auto first = text.find_first_not_of(' ');
  if (first == std::string::npos) return {};
  return text.substr(first, text.find_last_not_of(' ') - first + 1);
}

// Cells of the rows "| `key` | ... |", by heading of level two and key.
struct Page {
  std::map<std::string, std::map<std::string, std::vector<std::string>>> rows;
  std::vector<std::string> repeated;
};

Page read_page() {
  std::ifstream file(std::string(MOUNDWORK_DOCS) + "/definitions.md");
  REQUIRE(file.good());
  Page page;
  std::string heading;
  for (std::string line; std::getline(file, line);) {
    if (line.rfind("## ", 0) == 0) heading = line.substr(3);
    if (line.rfind("| `", 0) != 0) continue;
    std::vector<std::string> cells;
    for (std::size_t from = 1, to = 0; (to = line.find('|', from)) != std::string::npos;
         from = to + 1)
      cells.push_back(trimmed(line.substr(from, to - from)));
    const std::string key = cells.front().substr(1, cells.front().size() - 2);
    cells.erase(cells.begin());
    if (!page.rows[heading].emplace(key, cells).second) page.repeated.push_back(key);
  }
  return page;
}

// The page sets names of settings in back quotes, where tables have them plain.
std::string without_quotes(std::string text) {
  std::erase(text, '`');
  return text;
}

double si_of(const std::string& number, const std::string& unit) {
  const double value = moundwork::support::number_of(number);
  if (unit == "ms") return 0.001 * value;
  return unit == "% BW" ? 0.01 * value : value;
}

// A definition is true whatever the settings are, and says what they usually are.
template <class Name>
void check_thresholds(std::size_t count) {
  const nlohmann::json defaults = moundwork::definitions::Settings{};
  const std::regex named(R"((\w+) \(default ([0-9.]+) (% BW|BW|ms|s|%)\))");
  const std::regex typed(R"([0-9] (% BW|BW|ms|s)\b)");
  for (std::size_t i = 0; i < count; ++i) {
    const std::string text(moundwork::definitions::entry(static_cast<Name>(i)).definition);
    CAPTURE(text);
    for (std::sregex_iterator at(text.begin(), text.end(), named); at != std::sregex_iterator();
         ++at) {
      REQUIRE(defaults.contains((*at)[1].str()));
      const double stated = defaults.at((*at)[1].str());
      const double shown = si_of((*at)[2], (*at)[3]);
      // A percentage may be of a setting that is a share.
      CHECK((shown == Approx(stated) || ((*at)[3] == "%" && shown == Approx(100.0 * stated))));
    }
    CHECK_FALSE(std::regex_search(std::regex_replace(text, named, ""), typed));
  }
}

template <class Name>
void check_entries(const std::map<std::string, std::vector<std::string>>& rows, std::size_t count) {
  CHECK(rows.size() == count);
  for (std::size_t i = 0; i < count; ++i) {
    const auto& entry = moundwork::definitions::entry(static_cast<Name>(i));
    CAPTURE(entry.key);
    const auto row = rows.find(std::string(entry.key));
    REQUIRE(row != rows.end());
    REQUIRE(row->second.size() == 2);
    CHECK(row->second[0] == entry.unit);
    CHECK(without_quotes(row->second[1]).rfind(std::string(entry.definition) + ".", 0) == 0);
  }
}

}  // namespace

TEST_CASE("definitions page: every event and quantity with its unit and definition", "[docs]") {
  const Page page = read_page();
  CHECK(page.repeated.empty());
  check_entries<Event>(page.rows.at("Events"), moundwork::definitions::event_count);
  check_entries<Quantity>(page.rows.at("Quantities"), moundwork::definitions::quantity_count);
}

TEST_CASE("definitions name the settings they go by, with their defaults", "[docs]") {
  check_thresholds<Event>(moundwork::definitions::event_count);
  check_thresholds<Quantity>(moundwork::definitions::quantity_count);
}

TEST_CASE("definitions page: every flag and remark with when it is set", "[docs]") {
  using namespace moundwork;
  const Page page = read_page();
  const auto& rows = page.rows.at("Flags");
  const nlohmann::json defaults = definitions::Settings{};
  const std::set<std::string> stated{"tick_rate", "sample_rate"};  // of the station file
  std::set<std::string> keys;
  for (std::size_t i = 0; i < definitions::flag_count; ++i) {
    const definitions::FlagEntry& entry = definitions::entry(static_cast<definitions::Flag>(i));
    CAPTURE(entry.key, i);
    keys.emplace(entry.key);
    const auto row = rows.find(std::string(entry.key));
    REQUIRE(row != rows.end());
    CHECK(row->second.at(0) == entry.meaning);
    const std::string meaning(entry.meaning);
    const std::regex quoted("`(\\w+)`");
    for (std::sregex_iterator at(meaning.begin(), meaning.end(), quoted);
         at != std::sregex_iterator(); ++at) {
      const std::string name = (*at)[1];
      CHECK((defaults.contains(name) || stated.contains(name)));
    }
    CHECK_FALSE(entry.detail.empty());
    // Wordings of one doubt agree in all but their words.
    const definitions::FlagEntry* first = definitions::find_flag(entry.key);
    REQUIRE(first != nullptr);
    CHECK(first->about == entry.about);
    CHECK(first->ends_with == entry.ends_with);
  }
  CHECK(rows.size() == keys.size());
}

TEST_CASE("definitions page: every setting with its default, a unit and a reason", "[docs]") {
  const Page page = read_page();
  const auto& rows = page.rows.at("Settings");
  const nlohmann::json defaults = moundwork::definitions::Settings{};
  CHECK(rows.size() == defaults.size());
  for (const auto& [name, value] : defaults.items()) {
    CAPTURE(name);
    const auto row = rows.find(name);
    REQUIRE(row != rows.end());
    REQUIRE(row->second.size() == 3);
    CHECK(moundwork::support::number_of(row->second[0]) == value.get<double>());
    CHECK_FALSE(row->second[1].empty());
    CHECK_FALSE(row->second[2].empty());
  }
}
