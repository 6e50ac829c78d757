// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/doubts.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>
#include <string>

#include "core/base/sentence.h"
#include "core/summary/words.h"

namespace moundwork::summary {

namespace {

std::string with_throws(std::string says, const std::vector<int>& throws, int of_all) {
  if (says.ends_with('.')) says.pop_back();
  return sentence("{doubt} ({throws}).", "doubt"_is(says),
                  "throws"_is(throws_text(throws, of_all)));
}

// A mean over throws of several types is of how many there were of each.
std::string types_words(const std::map<std::string, int>& types) {
  std::vector<std::string> counts;
  for (const auto& [type, count] : types)
    counts.push_back(type.empty() ? sentence("{count} of no type told", "count"_is(count))
                                  : sentence("{count} {type}", "count"_is(count), "type"_is(type)));
  return sentence("All numbers are over throws of several types: {counts}.",
                  "counts"_is(fmt::format("{}", fmt::join(counts, ", "))));
}

}  // namespace

std::vector<std::string> doubts_of(const CountedThrows& counted, const session::Session& session) {
  // A flag without plain words of its own says its sentence.
  struct Kind {
    std::size_t rank = 0;
    std::vector<int> throws;
  };
  std::map<std::string, Kind> kinds;
  for (const auto& one : counted.throws)
    for (const auto& flag : one.flags) {
      std::string text = doubt_text(flag.key);
      if (flag.key == "no_radar" && !session.radar)
        text = sentence("No ball speed: there was no radar, and no speed was given.");
      if (text.empty()) text = flag.detail;
      Kind& kind = kinds[text];
      kind.rank = doubt_rank(flag.key);
      if (kind.throws.empty() || kind.throws.back() != one.number)
        kind.throws.push_back(one.number);
    }
  const auto all = static_cast<int>(counted.throws.size());
  std::vector<std::pair<std::size_t, std::string>> ranked;
  ranked.reserve(kinds.size());
  for (const auto& [text, kind] : kinds)
    ranked.emplace_back(kind.rank, with_throws(text, kind.throws, all));
  std::stable_sort(ranked.begin(), ranked.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<std::string> doubts;
  if (counted.types.size() > 1) doubts.push_back(types_words(counted.types));
  if (!counted.moved_since.empty())
    doubts.push_back(
        sentence("Events were moved or facts corrected by hand after the analysis: analyse the "
                 "session again ({throws}).",
                 "throws"_is(throws_text(counted.moved_since, all))));
  for (auto& [rank, doubt] : ranked) doubts.push_back(std::move(doubt));
  return doubts;
}

}  // namespace moundwork::summary
