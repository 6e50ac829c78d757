// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/cover.h"

#include <algorithm>
#include <string>
#include <vector>

#include "core/base/sentence.h"
#include "core/base/shown_number.h"

namespace moundwork::summary {
namespace {

std::string cell(const Number& number) {
  if (number.value.empty()) return "–";
  return number.plus_minus.empty()
             ? number.value
             : sentence("{value} ± {u}", "value"_is(number.value), "u"_is(number.plus_minus));
}

// What a lab should look at, each a whole remark.
std::string look_at(const Summary& summary) {
  std::vector<std::string> items;
  for (const Number& number : summary.numbers)
    if (number.change && number.change->real)
      items.push_back(sentence("{name} changed ({difference})", "name"_is(number.name),
                               "difference"_is(with_unit(number.change->difference, number.unit))));
  for (const Number& number : summary.numbers)
    if (number.change && number.change->beyond_scatter)
      items.push_back(sentence(
          "{name} differs beyond scatter and measurement, perhaps not beyond days ({difference})",
          "name"_is(number.name),
          "difference"_is(with_unit(number.change->difference, number.unit))));
  for (const Number& number : summary.numbers)
    if (number.throws < summary.throws_counted)
      items.push_back(number.throws == 0
                          ? sentence("{name} not measured", "name"_is(number.name))
                          : sentence("{name} in {throws} of {all}", "name"_is(number.name),
                                     "throws"_is(number.throws), "all"_is(summary.throws_counted)));
  if (const auto doubts = static_cast<long>(summary.doubts.size()); doubts > 0)
    items.push_back(sentence_for(doubts, "{count} doubt on the page", "{count} doubts on the page",
                                 "count"_is(doubts)));
  std::string text;
  for (const auto& item : items) text += (text.empty() ? "" : "; ") + item;
  return text;
}

}  // namespace

Cover cover_of(const std::vector<Summary>& summaries, std::vector<std::string> failed, bool names,
               const std::string& software) {
  Cover cover;
  const bool invented = std::any_of(summaries.begin(), summaries.end(),
                                    [](const Summary& summary) { return summary.invented; });
  cover.title =
      invented ? sentence("Practice: a day with invented athletes") : sentence("Assessment day");
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
      row.throws = sentence("{count} of {found}", "count"_is(summary.throws_counted),
                            "found"_is(summary.throws_found));
    for (const Number& number : summary.numbers) row.numbers.push_back(cell(number));
    cover.rows.push_back(std::move(row));
  }
  if (!summaries.empty())
    for (const Number& number : summaries.front().numbers)
      cover.columns.push_back(
          sentence("{name} ({unit})", "name"_is(number.name), "unit"_is(number.unit)));
  const auto sessions = static_cast<long>(summaries.size());
  const auto how_many = "sessions"_is(
      sentence_for(sessions, "{count} session", "{count} sessions", "count"_is(sessions)));
  const auto count = "count"_is(counted);
  cover.says = found > counted
                   ? sentence_for(found, "{sessions}, {count} of {found} throw counted",
                                  "{sessions}, {count} of {found} throws counted", how_many, count,
                                  "found"_is(found))
                   : sentence_for(counted, "{sessions}, {count} throw counted",
                                  "{sessions}, {count} throws counted", how_many, count);
  cover.notes = {
      sentence("Means of the counted throws ± the 95 % uncertainty of measurement."),
      names ? sentence("For the lab alone: this sheet holds names. It is no ranking; athletes "
                       "differ in age and size.")
            : sentence("For the lab alone: codes stand for people. It is no ranking; athletes "
                       "differ in age and size."),
      sentence("Pain, numbness or unusual tiredness: stop, and see a licensed clinician. The "
               "numbers do not show the risk of injury, and Moundwork is not a medical device.")};
  return cover;
}

}  // namespace moundwork::summary
