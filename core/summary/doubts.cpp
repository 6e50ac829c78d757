// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/doubts.h"

#include <algorithm>
#include <map>
#include <string>

#include "core/summary/words.h"

namespace moundwork::summary {

std::vector<Doubt> doubts_of(const CountedThrows& counted) {
  // A flag without plain words of its own says its sentence.
  struct Kind {
    std::size_t rank = 0;
    std::vector<int> throws;
  };
  std::map<std::string, Kind> kinds;
  for (const auto& one : counted.throws)
    for (const auto& flag : one.flags) {
      const auto text = doubt_text(flag.key);
      Kind& kind = kinds[text.empty() ? flag.detail : std::string(text)];
      kind.rank = doubt_rank(flag.key);
      if (kind.throws.empty() || kind.throws.back() != one.number)
        kind.throws.push_back(one.number);
    }
  std::vector<std::pair<std::size_t, Doubt>> ranked;
  const auto all = static_cast<int>(counted.throws.size());
  for (const auto& [text, kind] : kinds)
    ranked.push_back({kind.rank, {throws_text(kind.throws, all), text}});
  std::stable_sort(ranked.begin(), ranked.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<Doubt> doubts;
  if (!counted.moved_since.empty())
    doubts.push_back({throws_text(counted.moved_since, all),
                      "Events were moved by hand after the analysis: analyse the session again."});
  for (auto& [rank, doubt] : ranked) doubts.push_back(std::move(doubt));
  return doubts;
}

}  // namespace moundwork::summary
