// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/definitions/settings.h"
#include "core/pitch/throw_data.h"

namespace moundwork::pitch {

/// Every quantity as the catalogue defines it; NaN where an event it needs is missing.
[[nodiscard]] QuantityValues compute_quantities(const ThrowData& data, const EventTimes& events,
                                                const definitions::Settings& settings);

/// Parts of a throw, as bits of a set. A force goes with its unfiltered and its lightly filtered
/// series.
using Parts = unsigned;
namespace part {
inline constexpr Parts back_x = 1U << 0U, back_y = 1U << 1U, back_z = 1U << 2U;
inline constexpr Parts back_pressure = 1U << 3U, back_twist = 1U << 4U;  ///< centre, free moment
inline constexpr Parts lead_x = 1U << 5U, lead_y = 1U << 6U, lead_z = 1U << 7U;
inline constexpr Parts lead_pressure = 1U << 8U, lead_twist = 1U << 9U;
inline constexpr Parts foot_line = 1U << 10U;
inline constexpr Parts body_mass = 1U << 11U;
inline constexpr Parts release = 1U << 12U;
/// Height and ball speed, with which no other part has to do.
inline constexpr Parts alone = 0U;
inline constexpr Parts back_foot = back_x | back_y | back_z | back_pressure | back_twist;
inline constexpr Parts lead_foot = lead_x | lead_y | lead_z | lead_pressure | lead_twist;
inline constexpr Parts all = ~0U;
}  // namespace part

/// The same where only the `changed` parts and the events differ from those of a throw whose
/// quantities are `known`: what neither touches is taken over.
[[nodiscard]] QuantityValues recompute_quantities(const ThrowData& data, const EventTimes& events,
                                                  const definitions::Settings& settings,
                                                  Parts changed, const EventTimes& known_events,
                                                  const QuantityValues& known);

}  // namespace moundwork::pitch
