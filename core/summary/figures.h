// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/summary/content.h"
#include "core/summary/drawing.h"

/// The figures of a summary, each for a given size in mm. They read in black and white: dashes,
/// marks and labels tell what colours tell.
namespace moundwork::summary {

/// The back foot from above, home plate at the top, with the mean way of the centre of pressure.
[[nodiscard]] Drawing draw_foot(const FootPath& foot, double width, double height);
/// Forces about lead contact: along the throwing line of both feet, vertical of the lead foot.
[[nodiscard]] Drawing draw_forces(const ForceTraces& forces, double width, double height);
[[nodiscard]] Drawing draw_against(const SpeedAgainst& against, double width, double height);
/// What is said beneath the two figures that are read with care.
[[nodiscard]] std::string foot_caption(const FootPath& foot);
[[nodiscard]] std::string against_caption(const SpeedAgainst& against);
/// Where a number stands among the group's, as a strip.
[[nodiscard]] Drawing draw_place(const Number& number, double width, double height);

}  // namespace moundwork::summary
