// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/check_files.h"

#include <algorithm>
#include <fstream>
#include <limits>
#include <nlohmann/json.hpp>
#include <utility>

#include "drivers/check/sheet_file.h"

namespace moundwork::desk {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

double number_of(const json& object, const char* key) {
  const auto found = object.find(key);
  // What is no number is written as null.
  return found != object.end() && found->is_number() ? found->get<double>()
                                                     : std::numeric_limits<double>::quiet_NaN();
}

std::string text_of(const json& object, const char* key) {
  const auto found = object.find(key);
  return found != object.end() && found->is_string() ? found->get<std::string>() : std::string();
}

void take_sheet(const json& sheet, std::vector<KeptCheckLine>& kept) {
  const auto lines = sheet.find("lines");
  if (lines == sheet.end() || !lines->is_array()) return;
  std::vector<KeptCheckLine> fresh;
  for (const json& line : *lines)
    if (line.is_object())
      fresh.push_back(
          {{text_of(line, "check"), text_of(line, "item"), text_of(line, "unit"),
            number_of(line, "found"), number_of(line, "wanted"), number_of(line, "limit")},
           text_of(sheet, "made")});
  for (const KeptCheckLine& one : fresh)
    std::erase_if(kept, [&](const KeptCheckLine& old) {
      return old.line.check == one.line.check &&
             (one.line.check != "weight" || old.line.item == one.line.item);
    });
  kept.insert(kept.end(), fresh.begin(), fresh.end());
}

}  // namespace

Result<void> keep_sheet(const LabFolder& lab, const drivers::CheckSheet& sheet, WallTime made) {
  return drivers::add_to_sheet(drivers::sheet_of_day(lab.root, made, zone_of(lab)), sheet, made);
}

std::vector<KeptCheckLine> last_results(const LabFolder& lab) {
  std::vector<json> sheets;
  for (const fs::path& folder : {lab.root, lab.checks()}) {
    std::error_code error;
    for (const auto& entry : fs::directory_iterator(folder, error)) {
      if (entry.path().extension() != ".jsonl" ||
          !entry.path().filename().string().starts_with("checks-"))
        continue;
      std::ifstream file(entry.path());
      for (std::string line; std::getline(file, line);)
        if (json sheet = json::parse(line, nullptr, false); sheet.is_object())
          sheets.push_back(std::move(sheet));
    }
  }
  std::stable_sort(sheets.begin(), sheets.end(), [](const json& a, const json& b) {
    return text_of(a, "made") < text_of(b, "made");
  });
  std::vector<KeptCheckLine> kept;
  for (const json& sheet : sheets) take_sheet(sheet, kept);
  return kept;
}

}  // namespace moundwork::desk
