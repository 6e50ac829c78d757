// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/cue_order.h"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>
#include <random>
#include <utility>

#include "core/base/random.h"
#include "core/session/throw_fields.h"

namespace moundwork::relate {
namespace {

constexpr const char* order_place = "the order of cues";

Result<std::vector<std::string>> checked_cues(const std::vector<std::string>& cues) {
  if (cues.empty()) return fail(order_place, "names no cue", "give one, as heel");
  if (cues.size() > session::most_cues)
    return fail(order_place, fmt::format("names {} cues", cues.size()),
                fmt::format("give at most {}", session::most_cues));
  std::vector<std::string> checked;
  for (const std::string& cue : cues) {
    auto plain = session::checked_plain_text(cue, fmt::format("the cue '{}'", cue));
    if (!plain) return tl::make_unexpected(plain.error());
    if (plain->find(session::cue_separator) != std::string::npos)
      return fail(fmt::format("the cue '{}'", *plain), "holds a semicolon", "name it without one");
    if (std::find(checked.begin(), checked.end(), *plain) != checked.end())
      return fail(fmt::format("the cue '{}'", *plain), "is named twice", "name it once");
    checked.push_back(std::move(*plain));
  }
  return checked;
}

template <class Value>
void shuffle(std::vector<Value>& values, Random& random) {
  for (std::size_t i = values.size(); i > 1; --i)
    std::swap(values[i - 1],
              values[static_cast<std::size_t>(random.integer(0, static_cast<int>(i) - 1))]);
}

}  // namespace

Result<session::CueOrder> draw_cue_order(const std::vector<std::string>& cues, int throws, int run,
                                         std::uint64_t seed) {
  auto checked = checked_cues(cues);
  if (!checked) return tl::make_unexpected(checked.error());
  if (throws < fewest_ordered_throws || throws > most_ordered_throws)
    return fail(
        order_place, fmt::format("is for {} throws", throws),
        fmt::format("give a number from {} to {}", fewest_ordered_throws, most_ordered_throws));
  if (run < 1)
    return fail(order_place, fmt::format("has runs of {} throws", run), "give a number from 1 on");
  // Not throws + run - 1, which may be more than a number holds.
  const int runs = throws / run + (throws % run == 0 ? 0 : 1);
  const int kinds = static_cast<int>(checked->size()) + 1;
  if (runs < kinds)
    return fail(order_place,
                fmt::format("has {} throws in runs of {} for {} kinds, no cue being one", throws,
                            run, kinds),
                "give more throws or shorter runs");
  Random random(seed, 0);
  std::vector<int> order(static_cast<std::size_t>(kinds));
  std::iota(order.begin(), order.end(), 0);
  shuffle(order, random);  // which kinds have a run more, where they cannot all have as many
  std::vector<int> kind_of_run;
  for (int i = 0; i < runs; ++i) kind_of_run.push_back(order[static_cast<std::size_t>(i % kinds)]);
  shuffle(kind_of_run, random);

  session::CueOrder drawn;
  drawn.cues = std::move(*checked);
  drawn.run = run;
  drawn.seed = seed;
  for (int i = 0; i < throws; ++i)
    drawn.kinds.push_back(kind_of_run[static_cast<std::size_t>(i / run)]);
  return drawn;
}

std::uint64_t new_cue_seed() { return std::random_device{}(); }

int fewest_runs_of_a_kind(const session::CueOrder& order) {
  std::vector<int> runs(order.cues.size() + 1, 0);
  for (std::size_t i = 0; i < order.kinds.size(); i += static_cast<std::size_t>(order.run))
    ++runs[static_cast<std::size_t>(order.kinds[i])];
  return *std::min_element(runs.begin(), runs.end());
}

}  // namespace moundwork::relate
