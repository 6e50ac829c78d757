// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/content.h"

#include <algorithm>

#include "core/base/one_line.h"
#include "core/base/sentence.h"
#include "core/base/shown_number.h"
#include "core/base/wall_time.h"
#include "core/session/start.h"
#include "core/summary/against.h"
#include "core/summary/cautions.h"
#include "core/summary/doubts.h"
#include "core/summary/numbers.h"
#include "core/summary/words.h"

namespace moundwork::summary {
namespace {

constexpr std::size_t longest_reason = 80;
// A line holds the id and what else is known of the athlete, another the surface and the weather.
constexpr std::size_t longest_id = 40;
constexpr std::size_t longest_surface = 30;

// As much of a free text as a page has room for, in bytes, cut between characters.
std::string clipped(const std::string& text, std::size_t longest) {
  if (text.size() <= longest) return text;
  std::size_t end = longest;
  while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) --end;
  return text.substr(0, end) + "…";
}

std::vector<std::string> person_of(const Source& source) {
  const session::Athlete& athlete = source.session.athlete;
  std::vector<std::string> items;
  // A code stands for both.
  if (!athlete.id.empty() && !athlete.name.empty() && athlete.id != athlete.name)
    items.push_back(clipped(one_line(athlete.id), longest_id));
  items.emplace_back(athlete.throws == session::Hand::left ? sentence("left-hander")
                                                           : sentence("right-hander"));
  if (source.age)
    items.push_back(sentence_for(*source.age, "{age} year", "{age} years", "age"_is(*source.age)));
  if (athlete.mass.known()) items.push_back(with_unit(plain_text(athlete.mass.value, 1), "kg"));
  if (athlete.height.known()) items.push_back(with_unit(plain_text(athlete.height.value, 2), "m"));
  return items;
}

std::vector<std::string> conditions_of(const session::Conditions& conditions) {
  std::vector<std::string> items;
  if (!conditions.surface.empty())
    items.push_back(clipped(one_line(conditions.surface), longest_surface));
  if (conditions.temperature.known())
    items.push_back(with_unit(plain_text(conditions.temperature.value, 0), "°C"));
  if (conditions.pressure.known())
    items.push_back(with_unit(plain_text(conditions.pressure.value / 100.0, 0), "hPa"));
  if (conditions.relative_humidity.known())
    items.push_back(
        sentence("{percent} % humidity",
                 "percent"_is(plain_text(100.0 * conditions.relative_humidity.value, 0))));
  if (items.empty()) items.push_back(sentence("conditions not noted"));
  return items;
}

std::string excluded_text(const CountedThrows& counted) {
  if (counted.excluded.empty()) return {};
  // One line a reason: ten throws of a warm-up are told once.
  std::vector<std::pair<std::string, std::vector<int>>> reasons;
  for (const auto& one : counted.excluded) {
    const std::string why =
        one.why.empty() ? sentence("no reason noted") : clipped(one_line(one.why), longest_reason);
    auto found = std::find_if(reasons.begin(), reasons.end(),
                              [&](const auto& reason) { return reason.first == why; });
    if (found == reasons.end()) found = reasons.insert(reasons.end(), {why, {}});
    found->second.push_back(one.number);
  }
  constexpr std::size_t most_reasons = 3;
  const auto reason_text = [&](std::size_t i) {
    return sentence("{throws} ({why})",
                    "throws"_is(throws_text(reasons[i].second, counted.found() + 1)),
                    "why"_is(reasons[i].first));
  };
  std::string told = reason_text(0);
  for (std::size_t i = 1; i < std::min(reasons.size(), most_reasons); ++i)
    told = sentence("{some}; {next}", "some"_is(told), "next"_is(reason_text(i)));
  const auto throws = "throws"_is(count_of_throws(static_cast<int>(counted.excluded.size())));
  const auto why = "reasons"_is(told);
  return reasons.size() > most_reasons
             ? sentence(
                   "{throws} left out by hand and not counted: {reasons}; the rest for other "
                   "reasons.",
                   throws, why)
             : sentence("{throws} left out by hand and not counted: {reasons}.", throws, why);
}

// Whether all five numbers are known of every throw that counts.
bool whole(const Summary& summary) {
  return std::all_of(summary.numbers.begin(), summary.numbers.end(),
                     [&](const Number& number) { return number.throws == summary.throws_counted; });
}

std::string no_doubts_text(const Summary& summary) {
  if (summary.throws_counted == 0) return sentence("No throw counts.");
  return whole(summary) ? sentence("Nothing: every throw was measured whole.")
                        : sentence("Nothing beside what the table says.");
}

std::string no_foot_text(const Source& source) {
  if (source.counted.throws.empty()) return sentence("No throw counts.");
  if (!source.session.foot_line)
    return sentence("Heel and toe of the back foot were not located, so its path cannot be drawn.");
  return sentence("No throw shows the back foot's drive, so its path cannot be drawn.");
}

}  // namespace

Result<Source> read_source(const std::filesystem::path& path, const Progress& progress) {
  auto analysed = relate::read_analysed_session(path);
  if (!analysed) return tl::unexpected(analysed.error());
  const auto reader = session::Reader::open(path);
  if (!reader) return tl::unexpected(reader.error());
  Source source;
  source.session = reader->session();
  source.age = age_at(source.session.athlete.born, session::local_start(source.session));
  source.counted = counted_throws(analysed->results, analysed->edits);
  auto traces = read_traces(*reader, analysed->results, source.counted.throws, progress);
  if (!traces) return tl::unexpected(traces.error());
  source.traces = std::move(*traces);
  source.analysed = std::move(*analysed);
  return source;
}

Summary summarise(const Source& source, const Context& context) {
  const session::Session& session = source.session;
  Summary summary;
  summary.who = one_line(session.athlete.name.empty() ? session.athlete.id : session.athlete.name);
  if (summary.who.empty()) summary.who = sentence("Athlete without a name");
  summary.person = person_of(source);
  summary.invented = context.invented;
  if (context.invented)
    summary.person.insert(summary.person.begin(), sentence("Practice: an invented athlete"));
  summary.when = session.started.empty() ? sentence("time not noted")
                                         : date_and_time(session::local_start(session));
  summary.conditions = conditions_of(session.conditions);
  summary.throws_found = source.counted.found();
  summary.throws_counted = static_cast<int>(source.counted.throws.size());
  summary.counted =
      summary.throws_counted == summary.throws_found
          ? sentence_for(summary.throws_counted, "{count} throw counted", "{count} throws counted",
                         "count"_is(summary.throws_counted))
          : sentence_for(summary.throws_found, "{count} of {found} throw counted",
                         "{count} of {found} throws counted", "count"_is(summary.throws_counted),
                         "found"_is(summary.throws_found));
  summary.excluded = excluded_text(source.counted);
  add_numbers(source, context, summary);
  summary.forces = source.traces.forces;
  summary.foot = source.traces.foot;
  if (!summary.foot) summary.no_foot = no_foot_text(source);
  add_against(source, context, summary);
  summary.doubts = doubts_of(source.counted, session);
  if (summary.doubts.empty()) summary.no_doubts = no_doubts_text(summary);
  summary.cautions =
      cautions(source.age, summary.throws_found, context.beside, context.pitch_counts);
  const auto software = "software"_is(context.software);
  const auto analysed =
      "day"_is(date_only(session::local_text(source.analysed.results.made, session.zone)));
  const auto id = "id"_is(session.id);
  // Said where the athlete does not stumble over it.
  summary.made =
      session.zone.assumed
          ? sentence(
                "{software} · analysed {day} · session {id} · time zone assumed: "
                "{zone}",
                software, analysed, id, "zone"_is(session.zone.name))
          : sentence("{software} · analysed {day} · session {id}", software, analysed, id);
  return summary;
}

}  // namespace moundwork::summary
