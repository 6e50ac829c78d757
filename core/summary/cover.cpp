// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/cover.h"

#include <fmt/format.h>

#include <cctype>

#include "core/relate/words.h"
#include "core/summary/words.h"

namespace moundwork::summary {
namespace {

std::string cell(const Number& number) {
  if (number.value.empty()) return "–";
  return number.plus_minus.empty() ? number.value
                                   : fmt::format("{} ± {}", number.value, number.plus_minus);
}

std::string in_sentence(const Number& number) {
  std::string name = number.name;
  name[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(name[0])));
  return name;
}

std::string look_at(const Summary& summary) {
  std::vector<std::string> items;
  for (const Number& number : summary.numbers)
    if (number.change && number.change->real)
      items.push_back(fmt::format("{} changed ({} {})", in_sentence(number),
                                  number.change->difference, number.unit));
  for (const Number& number : summary.numbers)
    if (number.throws < summary.throws_counted)
      items.push_back(number.throws == 0 ? fmt::format("no {}", in_sentence(number))
                                         : fmt::format("{} in {} of {}", in_sentence(number),
                                                       number.throws, summary.throws_counted));
  if (!summary.doubts.empty())
    items.push_back(relate::count_of(static_cast<int>(summary.doubts.size()), "doubt on the page",
                                     "doubts on the page"));
  std::string text;
  for (const auto& item : items) text += (text.empty() ? "" : "; ") + item;
  return relate::capitalised(text);
}

}  // namespace

Cover cover_of(const std::vector<Summary>& summaries, std::vector<std::string> failed, bool names,
               const std::string& software) {
  Cover cover;
  cover.title = "Assessment day";
  cover.failed = std::move(failed);
  cover.made = software;
  int found = 0;
  int counted = 0;
  for (const Summary& summary : summaries) {
    found += summary.throws_found;
    counted += summary.throws_counted;
    CoverRow row{
        summary.who, summary.when, std::to_string(summary.throws_counted), {}, look_at(summary)};
    if (summary.throws_found > summary.throws_counted)
      row.throws += fmt::format(" of {}", summary.throws_found);
    for (const Number& number : summary.numbers) row.numbers.push_back(cell(number));
    cover.rows.push_back(std::move(row));
  }
  if (!summaries.empty())
    for (const Number& number : summaries.front().numbers)
      cover.columns.push_back(fmt::format("{} ({})", number.name, number.unit));
  cover.says = fmt::format(
      "{}, {}", relate::count_of(static_cast<int>(summaries.size()), "session", "sessions"),
      relate::count_of(counted, "throw counted", "throws counted"));
  if (found > counted) cover.says += fmt::format(" of {} found", found);
  cover.notes = {
      "Means of the counted throws ± the 95 % uncertainty of measurement.",
      std::string(names ? "For the lab alone: this sheet holds names."
                        : "For the lab alone: codes stand for people.") +
          " It is no ranking; athletes differ in age and size.",
      "Pain, numbness or unusual tiredness: stop, and see a licensed clinician. The numbers do not "
      "show the risk of injury, and Moundwork is not a medical device."};
  return cover;
}

}  // namespace moundwork::summary
