// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/retests.h"

#include <algorithm>
#include <cmath>

namespace moundwork::relate {
namespace {

double known_or_0(double value) { return std::isfinite(value) ? value : 0.0; }

// Which throws of the pair are set against one another; false where none are alike.
bool choose_type(const Days& days, const Retest& retest, const OnlyType& wanted, OnlyType& type) {
  const Comparable both = days.comparable(retest.athlete, retest.of, retest.session);
  if (both.each.empty()) return false;
  const auto same = std::find(both.each.begin(), both.each.end(), wanted);
  type = same != both.each.end()
             ? *same
             : days.most_in_common(retest.athlete, retest.of, retest.session, both);
  return true;
}

}  // namespace

const std::vector<Retests::Own>& Retests::each(int index, const OnlyType& type, bool single) const {
  const auto [place, fresh] = known_.try_emplace({index, type, single});
  std::vector<Own>& all = place->second;
  if (!fresh) return all;
  std::map<std::string, int> pairs;
  for (const Retest& retest : pitches_.retests) {
    OnlyType taken;
    if (!choose_type(days_, retest, type, taken)) continue;
    const DayMean from = days_.mean(retest.athlete, retest.of, taken, index);
    const DayMean to = days_.mean(retest.athlete, retest.session, taken, index);
    if (from.throws == 0 || to.throws == 0) continue;
    if (single && (from.throws > 1 || to.throws > 1)) continue;
    if (pairs[retest.athlete]++ == 0) all.push_back({retest.athlete});
    Own& own = *std::find_if(all.begin(), all.end(),
                             [&](const Own& one) { return one.athlete == retest.athlete; });
    const double difference = to.mean - from.mean;
    own.square += difference * difference;
    own.explained += known_or_0(scatter_of(from.sd, from.throws, to.sd, to.throws).scatter) +
                     known_or_0(from.shared_u * from.shared_u + to.shared_u * to.shared_u);
  }
  for (Own& own : all) {
    own.square /= pairs[own.athlete];
    own.explained /= pairs[own.athlete];
  }
  return all;
}

DayVariation Retests::of_others(const std::string& judged, int index, const OnlyType& type,
                                bool single) const {
  DayVariation result;
  double square = 0.0;
  for (const Own& own : each(index, type, single)) {
    if (own.athlete == judged) continue;
    ++result.athletes;
    square += own.square;
    result.explained += own.explained;
  }
  if (result.athletes == 0) return result;
  result.square = square / result.athletes;
  result.explained /= result.athletes;
  return result;
}

}  // namespace moundwork::relate
