// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/cautions.h"

#include <fmt/format.h>

#include "core/relate/words.h"

namespace moundwork::summary {
namespace {

std::string source_of(const safety::PitchCountTable& table) {
  return fmt::format("{} (table of {})", table.source, table.dated);
}

std::string count_words(int age, int found, const safety::AgeBand& band,
                        const safety::PitchCountTable& table) {
  const int days = safety::rest_days(band, found);
  const std::string rest =
      days == 0 ? std::string("no day of rest is asked for")
                : relate::count_of(days, "calendar day", "calendar days") + " of rest";
  std::string text =
      fmt::format("Pitch counts at age {}: at most {} a day; after the {} found here, {}.", age,
                  band.most_a_day, relate::count_of(found, "throw", "throws"), rest);
  if (found > band.most_a_day) text += " That is more than the limit.";
  text += fmt::format(" Source: {}.", source_of(table));
  if (!table.note.empty()) text += " " + table.note;
  return text + " Follow the rules that hold where you are.";
}

std::string age_words(std::optional<int> age, int found, const safety::PitchCountTable& table) {
  if (!age)
    return fmt::format(
        "Young arms have pitch counts and rest days by age; the age is not noted here. One table: "
        "{}.",
        source_of(table));
  if (const auto* band = safety::band_of(table, *age))
    return count_words(*age, found, *band, table);
  if (!table.bands.empty() && *age < table.bands.front().from)
    return fmt::format("At age {} the pitch counts of {} name no limit: throw little.", *age,
                       source_of(table));
  return {};
}

}  // namespace

std::vector<std::string> cautions(std::optional<int> age, int found,
                                  const safety::PitchCountTable& table) {
  std::vector<std::string> texts{
      "Pain, numbness or unusual tiredness: stop, and see a licensed clinician.",
      "Throwing hard loads the arm: warm up first, rest between hard days."};
  if (std::string text = age_words(age, found, table); !text.empty())
    texts.push_back(std::move(text));
  texts.push_back(
      "The numbers describe these throws. They do not show the risk of injury, and Moundwork is "
      "not a medical device.");
  texts.push_back(
      "What goes together is an association, not an instruction to push harder. A coach or "
      "clinician should judge any change of technique.");
  return texts;
}

}  // namespace moundwork::summary
