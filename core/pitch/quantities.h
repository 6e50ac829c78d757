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
/// Those of one foot.
struct FootParts {
  Parts x, y, z;
  Parts pressure, twist;  ///< centre of pressure, free moment

  [[nodiscard]] constexpr Parts all() const { return x | y | z | pressure | twist; }
};
namespace part {
inline constexpr FootParts back{1U << 0U, 1U << 1U, 1U << 2U, 1U << 3U, 1U << 4U};
inline constexpr FootParts lead{1U << 5U, 1U << 6U, 1U << 7U, 1U << 8U, 1U << 9U};
inline constexpr Parts foot_line = 1U << 10U;
inline constexpr Parts body_mass = 1U << 11U;
inline constexpr Parts release = 1U << 12U;
/// Height and ball speed, with which no other part has to do.
inline constexpr Parts alone = 0U;
inline constexpr Parts all = ~0U;
}  // namespace part

/// The same where only the `changed` parts and the events differ from those of a throw whose
/// quantities are `known`: what neither touches is taken over.
[[nodiscard]] QuantityValues recompute_quantities(const ThrowData& data, const EventTimes& events,
                                                  const definitions::Settings& settings,
                                                  Parts changed, const EventTimes& known_events,
                                                  const QuantityValues& known);

}  // namespace moundwork::pitch
