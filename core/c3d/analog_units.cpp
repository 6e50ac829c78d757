// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/c3d/analog_units.h"

#include <string>

namespace moundwork::c3d {
namespace {

std::optional<double> length_factor(std::string_view symbol) {
  if (symbol == "m") return 1.0;
  if (symbol == "cm") return 1e-2;
  if (symbol == "mm") return 1e-3;
  return std::nullopt;
}

}  // namespace

std::optional<AnalogUnit> parse_analog_unit(std::string_view text) {
  std::string symbol;
  for (const char c : text) {
    // Products are written with a space, a point, a star, a dash or a raised dot (two bytes).
    if (c == ' ' || c == '.' || c == '*' || c == '-' || c == '\xc2' || c == '\xb7') continue;
    symbol += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  }
  std::string_view rest = symbol;
  if (const auto factor = length_factor(rest)) return AnalogUnit{UnitKind::length, *factor};
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
  if (rest.empty()) return AnalogUnit{UnitKind::force, factor};
  if (const auto arm = length_factor(rest)) return AnalogUnit{UnitKind::moment, factor * *arm};
  return std::nullopt;
}

}  // namespace moundwork::c3d
