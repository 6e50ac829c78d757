// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/pitch/flags.h"
#include "core/pitch/plates_of_throw.h"

/// Plates that gave one and the same reading while their foot was used: dead, unplugged or frozen.
/// Beside a plate that works such a one leaves part of a foot's force out.
namespace moundwork::pitch {

struct StuckPlate {
  session::PlateRole role{};
  std::string ordinal;  ///< what stands before "plate"
  foot::StuckChannel stuck;
};

/// One entry a plate, its first channel. None where another plate of the throw came to life again
/// after standing still: then the instrument writes small forces as nothing.
[[nodiscard]] std::vector<StuckPlate> stuck_plates(const PlatesOfThrow& plates,
                                                   const MeasuredSpans& used);

/// Makes unmeasurable what reads those feet.
void blank_stuck(const std::vector<StuckPlate>& stuck, QuantityValues& quantities);

[[nodiscard]] std::vector<session::ResultFlag> stuck_flags(const std::vector<StuckPlate>& stuck);

}  // namespace moundwork::pitch
