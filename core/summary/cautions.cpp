// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/cautions.h"

#include "core/base/sentence.h"
#include "core/summary/words.h"

namespace moundwork::summary {
namespace {

std::string source_of(const safety::PitchCountTable& table) {
  return sentence("{source} (table of {date})", "source"_is(table.source), "date"_is(table.dated));
}

std::string count_words(int age, int found, const people::DayThrows& beside,
                        const safety::AgeBand& band, const safety::PitchCountTable& table) {
  const int all = found + beside.throws;
  const int days = safety::rest_days(band, all);
  const auto years = "age"_is(age);
  const auto most = "most"_is(band.most_a_day);
  const auto throws = "throws"_is(count_of_throws(all));
  const std::string over =
      all > band.most_a_day
          ? sentence("{throws} on this day are more than the limit of {most} a day.", throws, most)
          : std::string();
  std::string text =
      days == 0
          ? sentence_for(
                all,
                "Pitch counts at age {age}: at most {most} a day, and a calendar day of rest from "
                "{first} on. {throws} of this day is known here; add all other throws of that day.",
                "Pitch counts at age {age}: at most {most} a day, and a calendar day of rest from "
                "{first} on. {throws} of this day are known here; add all other throws of that "
                "day.",
                years, most, "first"_is(count_of_throws(band.rest.front().pitches + 1)), throws)
          : sentence_for(
                days,
                "Pitch counts at age {age}: at most {most} a day; after the {throws} of this day "
                "that are known here, at least {days} calendar day of rest. Add all other throws "
                "of that day.",
                "Pitch counts at age {age}: at most {most} a day; after the {throws} of this day "
                "that are known here, at least {days} calendar days of rest. Add all other throws "
                "of that day.",
                years, most, throws, "days"_is(days));
  if (!over.empty()) text = over + ' ' + text;
  if (beside.unmeasured > 0)
    text += ' ' + sentence_for(beside.unmeasured,
                               "{count} more session of this day is not measured, so its throws "
                               "are not among them.",
                               "{count} more sessions of this day are not measured, so their "
                               "throws are not among them.",
                               "count"_is(beside.unmeasured));
  if (beside.unreadable > 0)
    text += ' ' + sentence_for(beside.unreadable,
                               "{count} file among the sessions cannot be read; if it is of this "
                               "day, add its throws.",
                               "{count} files among the sessions cannot be read; if they are of "
                               "this day, add their throws.",
                               "count"_is(beside.unreadable));
  text += ' ' + sentence("Source: {source}.", "source"_is(source_of(table)));
  if (!table.note.empty()) text += ' ' + table.note;
  return text + ' ' + sentence("Follow the rules that hold where you are.");
}

std::string age_words(std::optional<int> age, int found, const people::DayThrows& beside,
                      const safety::PitchCountTable& table) {
  const auto source = "source"_is(source_of(table));
  if (!age)
    return sentence(
        "Young arms have pitch counts and rest days by age; the age is not noted here. One table: "
        "{source}.",
        source);
  if (const auto* band = safety::band_of(table, *age))
    return count_words(*age, found, beside, *band, table);
  if (!table.bands.empty() && *age < table.bands.front().from)
    return sentence("At age {age} the pitch counts of {source} name no limit: throw little.",
                    "age"_is(*age), source);
  return {};
}

}  // namespace

std::vector<std::string> cautions(std::optional<int> age, int found,
                                  const people::DayThrows& beside,
                                  const safety::PitchCountTable& table) {
  std::vector<std::string> texts{
      sentence("Pain, numbness or unusual tiredness: stop, and see a licensed clinician."),
      sentence("Throwing hard loads the arm: warm up first, rest between hard days.")};
  if (std::string text = age_words(age, found, beside, table); !text.empty())
    texts.push_back(std::move(text));
  texts.push_back(
      sentence("The numbers describe these throws. They do not show the risk of injury, and "
               "Moundwork is not a medical device."));
  texts.push_back(
      sentence("What goes together is an association, not an instruction to push harder. A coach "
               "or clinician should judge any change of technique."));
  return texts;
}

}  // namespace moundwork::summary
