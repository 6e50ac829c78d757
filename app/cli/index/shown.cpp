// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/index/shown.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <utility>

#include "core/base/units.h"

namespace moundwork::cli {

using definitions::Quantity;

void add_quantity(CLI::App& command, QuantityOptions& options, bool required) {
  command
      .add_option("--quantity", options.quantities,
                  required ? "Quantity by its key; may be repeated"
                           : "Quantity by its key; may be repeated; five usual ones when not said")
      ->required(required)
      ->allow_extra_args(false)
      ->type_name("KEY");
  command.add_option("--speed-unit", options.speed_unit, "Ball speed unit of the text")
      ->check(CLI::IsMember({"m/s", "km/h", "mph"}))
      ->capture_default_str();
}

Result<std::vector<Shown>> shown_of(const QuantityOptions& options, std::vector<Quantity> usual) {
  std::vector<Shown> list;
  if (!options.quantities.empty()) {
    usual.clear();
    for (const std::string& key : options.quantities) {
      const auto quantity = definitions::find_quantity(key);
      if (!quantity)
        return fail("--quantity", fmt::format("'{}' is not a quantity of a throw", key),
                    "docs/definitions.md lists them");
      usual.push_back(*quantity);
    }
  }
  for (const Quantity quantity : usual) {
    const auto& entry = definitions::entry(quantity);
    Shown shown{quantity, std::string(entry.key), std::string(entry.unit)};
    if (quantity == Quantity::ball_speed && options.speed_unit != "m/s") {
      shown.unit = options.speed_unit;
      shown.factor = 1.0 / (options.speed_unit == "mph" ? mps_per_mph : mps_per_kmh);
    } else if (shown.unit == "s") {
      shown.unit = "ms";
      shown.factor = 1e3;
    }
    list.push_back(std::move(shown));
  }
  return list;
}

}  // namespace moundwork::cli
