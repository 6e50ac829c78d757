// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string_view>

#include "core/plate/geometry.h"

namespace moundwork::plate {

enum class UnitKind { force, length, moment };

struct ComponentUnit {
  UnitKind kind;
  double factor;  ///< to N, m or N m
};

/// Reads the ways recordings write a plate's units ("N", "nt", "kN", "mm", "Nmm", "N m", "N*mm").
/// Nothing for other units such as "V".
[[nodiscard]] std::optional<ComponentUnit> parse_component_unit(std::string_view text);

/// What the type's component (from 0, in the order of PlateType) is measured in.
[[nodiscard]] UnitKind component_kind(PlateType type, int component);

/// "N", "m" or "N m".
[[nodiscard]] std::string_view si_symbol(UnitKind kind);

}  // namespace moundwork::plate
