// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "core/relate/relation.h"

namespace moundwork::relate {

/// Fills Relation::within_selected and between_selected: what was picked out of many because it
/// stood out has wider limits. Of R shown of m tested the level is 1 - q R / m (Benjamini and
/// Yekutieli 2005, J Am Stat Assoc 100:71), of the strongest of the m, shown or not, 1 - q / m.
/// Verdicts must be there.
void select(std::vector<Relation>& relations, const Report& report, const Settings& settings);

}  // namespace moundwork::relate
