// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/plate/component_unit.h"

#include <string>

namespace moundwork::plate {
namespace {

std::optional<double> length_factor(std::string_view symbol) {
  if (symbol == "m") return 1.0;
  if (symbol == "cm") return 1e-2;
  if (symbol == "mm") return 1e-3;
  return std::nullopt;
}

}  // namespace

std::optional<ComponentUnit> parse_component_unit(std::string_view text) {
  std::string symbol;
  for (const char c : text) {
    // Products are written with a space, a point, a star, a dash or a raised dot (two bytes).
    if (c == ' ' || c == '.' || c == '*' || c == '-' || c == '\xc2' || c == '\xb7') continue;
    symbol += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  }
  std::string_view rest = symbol;
  if (const auto factor = length_factor(rest)) return ComponentUnit{UnitKind::length, *factor};
  double factor = 1.0;
  if (rest.starts_with('k')) {
    factor = 1e3;
    rest.remove_prefix(1);
  }
  bool newtons = false;
  for (const std::string_view name : {"newtons", "newton", "nt", "n"}) {
    if (!rest.starts_with(name)) continue;
    rest.remove_prefix(name.size());
    newtons = true;
    break;
  }
  if (!newtons) return std::nullopt;
  if (rest.empty()) return ComponentUnit{UnitKind::force, factor};
  if (const auto arm = length_factor(rest)) return ComponentUnit{UnitKind::moment, factor * *arm};
  return std::nullopt;
}

UnitKind component_kind(PlateType type, int component) {
  if (type == PlateType::eight_component || component < 3) return UnitKind::force;
  if (type == PlateType::centre_of_pressure && component < 5) return UnitKind::length;
  return UnitKind::moment;
}

std::string_view si_symbol(UnitKind kind) {
  if (kind == UnitKind::force) return "N";
  return kind == UnitKind::length ? "m" : "N m";
}

}  // namespace moundwork::plate
