// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string_view>

namespace moundwork::c3d {

enum class UnitKind { force, length, moment };

struct AnalogUnit {
  UnitKind kind;
  double factor;  ///< to N, m or N m
};

/// Reads the ways ANALOG:UNITS writes a force plate's units ("N", "nt", "Nmm", "N m", "N*mm",
/// "kN"). Nothing for other units such as "V".
[[nodiscard]] std::optional<AnalogUnit> parse_analog_unit(std::string_view text);

}  // namespace moundwork::c3d
