// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/definitions/shown_unit.h"
#include "core/relate/pitches.h"

namespace moundwork::relate {

/// Every value of pitches of sessions from SI to the unit that people read it in. Forces stay in N:
/// each has its twin in body weights, and one axis cannot have both.
void show_units(Pitches& pitches, const definitions::ChosenUnits& chosen);

}  // namespace moundwork::relate
