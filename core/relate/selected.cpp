// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/selected.h"

#include <cmath>

namespace moundwork::relate {
namespace {

bool is_shown(Verdict verdict) {
  return verdict == Verdict::shown || verdict == Verdict::shown_here;
}

struct Side {
  Verdict Relation::*verdict;
  const stats::Correlation& (*tested)(const Relation&);
  const stats::Estimate& (*slope)(const Relation&);
  Selected Relation::*selected;
  int tests;
};

void select_on(std::vector<Relation>& relations, const Side& side, const Settings& settings) {
  Relation* strongest = nullptr;
  int shown = 0;
  for (Relation& relation : relations) {
    if (!relation.tested || !std::isfinite(side.tested(relation).r)) continue;
    shown += is_shown(relation.*side.verdict) ? 1 : 0;
    if (strongest == nullptr ||
        std::abs(side.tested(relation).r) > std::abs(side.tested(*strongest).r))
      strongest = &relation;
  }
  for (Relation& relation : relations) {
    const bool first = &relation == strongest && side.tests > 1;
    if (!first && !is_shown(relation.*side.verdict)) continue;
    const double share = (first ? 1.0 : shown) / static_cast<double>(side.tests);
    Selected& selected = relation.*side.selected;
    selected.strongest = first;
    selected.level = 1.0 - (1.0 - settings.level) * share;
    selected.correlation = stats::at_level(side.tested(relation), selected.level);
    const stats::Estimate& slope = side.slope(relation);
    selected.slope = stats::t_estimate(slope.value, slope.u, slope.df, selected.level);
  }
}

}  // namespace

void select(std::vector<Relation>& relations, const Report& report, const Settings& settings) {
  select_on(relations,
            {&Relation::within_verdict, tested_within, spoken_within, &Relation::within_selected,
             report.tests_within},
            settings);
  select_on(
      relations,
      {&Relation::between_verdict,
       [](const Relation& relation) -> const stats::Correlation& {
         return relation.equal_size.correlation;
       },
       [](const Relation& relation) -> const stats::Estimate& { return relation.equal_size.slope; },
       &Relation::between_selected, report.tests_between},
      settings);
}

}  // namespace moundwork::relate
