// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/foot/recorded_parts.h"

#include <algorithm>
#include <cmath>

namespace moundwork::foot {

Result<std::vector<RecordedPart>> recorded_parts(
    const std::vector<const session::SampleClock*>& clocks, const std::string& where) {
  std::vector<RecordedPart> runs;
  for (const session::SampleClock* clock : clocks)
    for (const session::Run& run : clock->runs())
      runs.push_back({clock->at(run, run.first_row), clock->at(run, run.first_row + run.rows)});
  const auto sane = [](SessionTime time) {
    constexpr double most = 1e11;  // s, three thousand years
    return std::abs(seconds(time)) < most;
  };
  if (!std::all_of(runs.begin(), runs.end(),
                   [&](const RecordedPart& run) { return sane(run.begin) && sane(run.end); }))
    return fail(where, "a plate's clock has times that cannot be", "the file is damaged");
  std::sort(runs.begin(), runs.end(),
            [](const RecordedPart& a, const RecordedPart& b) { return a.begin < b.begin; });
  std::vector<RecordedPart> parts;
  for (const RecordedPart& run : runs)
    if (parts.empty() || (run.begin - parts.back().end).count() > between_parts)
      parts.push_back(run);
    else
      parts.back().end = std::max(parts.back().end, run.end);
  return parts;
}

}  // namespace moundwork::foot
