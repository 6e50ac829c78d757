// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/units.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "core/base/trim.h"

namespace moundwork {
namespace {

struct Unit {
  std::string_view symbol;
  double factor;
};

const std::vector<Unit>& units_of(Dimension dimension) {
  static const std::vector<Unit> mass{
      {"kg", 1.0}, {"g", 1e-3}, {"lb", kilograms_per_pound}, {"oz", kilograms_per_pound / 16.0}};
  static const std::vector<Unit> length{
      {"m", 1.0}, {"cm", 1e-2}, {"mm", 1e-3}, {"in", metres_per_inch}, {"ft", metres_per_foot}};
  static const std::vector<Unit> speed{
      {"m/s", 1.0}, {"km/h", mps_per_kmh}, {"kph", mps_per_kmh}, {"mph", mps_per_mph}};
  static const std::vector<Unit> time{{"s", 1.0}, {"ms", 1e-3}, {"us", 1e-6}, {"min", 60.0}};
  static const std::vector<Unit> angle{{"rad", 1.0}, {"deg", radians_per_degree}};
  static const std::vector<Unit> force{{"N", 1.0}, {"kN", 1e3}};
  static const std::vector<Unit> frequency{{"Hz", 1.0}, {"kHz", 1e3}, {"GHz", 1e9}};
  static const std::vector<Unit> temperature{{"C", 1.0}, {"degC", 1.0}};
  static const std::vector<Unit> pressure{{"Pa", 1.0}, {"hPa", 100.0}, {"kPa", 1e3}};
  switch (dimension) {
    case Dimension::mass:
      return mass;
    case Dimension::length:
      return length;
    case Dimension::speed:
      return speed;
    case Dimension::time:
      return time;
    case Dimension::angle:
      return angle;
    case Dimension::force:
      return force;
    case Dimension::frequency:
      return frequency;
    case Dimension::temperature:
      return temperature;
    case Dimension::pressure:
      return pressure;
  }
  throw std::logic_error("unit table without this dimension");
}

std::string symbols_of(Dimension dimension) {
  std::string list;
  for (const Unit& unit : units_of(dimension)) {
    if (!list.empty()) list += ", ";
    list += unit.symbol;
  }
  return list;
}

// The inches of "6ft1in", as heights are told where feet are used, from what follows "ft".
std::optional<double> inches_after_feet(std::string_view text) {
  text = trim(text);
  double inches = 0.0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), inches);
  const bool whole = status == std::errc{} && inches >= 0.0 && inches < 12.0;
  if (!whole || trim(text.substr(static_cast<std::size_t>(end - text.data()))) != "in")
    return std::nullopt;
  return inches;
}

}  // namespace

Result<double> unit_factor(std::string_view symbol, Dimension dimension, std::string_view where) {
  for (const Unit& unit : units_of(dimension))
    if (unit.symbol == symbol) return unit.factor;
  return fail(std::string(where), fmt::format("'{}' is not a unit known here", symbol),
              fmt::format("use one of {}", symbols_of(dimension)));
}

Result<double> parse_quantity(std::string_view text, Dimension dimension, std::string_view where) {
  const std::string_view trimmed = trim(text);
  double number = 0.0;
  const auto [end, status] =
      std::from_chars(trimmed.data(), trimmed.data() + trimmed.size(), number);
  if (status != std::errc{} || !std::isfinite(number))
    return fail(std::string(where), fmt::format("'{}' does not begin with a number", text),
                fmt::format("write a number and a unit, one of {}", symbols_of(dimension)));
  const std::string_view symbol =
      trim(trimmed.substr(static_cast<std::size_t>(end - trimmed.data())));
  if (symbol.empty())
    return fail(std::string(where), fmt::format("'{}' has no unit", text),
                fmt::format("add one of {}", symbols_of(dimension)));
  if (symbol.front() == ',')
    return fail(std::string(where), fmt::format("'{}' has a comma in its number", text),
                "write a point before the decimals and nothing between thousands");
  if (dimension == Dimension::length && number >= 0.0 && symbol.substr(0, 2) == "ft")
    if (const auto inches = inches_after_feet(symbol.substr(2)))
      return number * metres_per_foot + *inches * metres_per_inch;
  if (dimension == Dimension::temperature && (symbol == "F" || symbol == "degF"))
    return (number - 32.0) / 1.8;
  return unit_factor(symbol, dimension, where).map([number](double factor) {
    return number * factor;
  });
}

}  // namespace moundwork
