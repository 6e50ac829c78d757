// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <string>

#include "app/desk/state/lab_folder.h"
#include "app/desk/state/preferences.h"
#include "core/base/result.h"
#include "core/session/session.h"

namespace moundwork::desk {

/// The air that a day's flights are computed with, in the lab's air.toml; all unknown on a day of
/// which nobody said anything. `day` is an ISO 8601 date or time.
[[nodiscard]] session::Conditions air_of_day(const LabFolder& lab, const std::string& day);
/// Keeps what is known of it, for this day.
[[nodiscard]] Result<void> keep_air(const LabFolder& lab, const std::string& day,
                                    const session::Conditions& air);

/// The air of the day as somebody typed it; what is empty is not known.
struct TypedAir {
  QString temperature;  ///< in `unit`
  TemperatureUnit unit = TemperatureUnit::celsius;
  QString pressure;  ///< hPa, where they are
  QString humidity;  ///< %
};
[[nodiscard]] TypedAir typed_air(const session::Conditions& air, TemperatureUnit unit);
/// In SI, temperature in degrees Celsius. Refuses in a sentence what is no number and what is no
/// air that people throw in.
[[nodiscard]] Result<session::Conditions> read_air(const TypedAir& typed);

}  // namespace moundwork::desk
