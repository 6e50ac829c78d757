// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/index/shown.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <string>

#include "core/base/shown_number.h"

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

std::string Shown::text(double value, double u) const {
  return typed_minus(number_text(as.factor * value, as.factor * u));
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
  // The parser took no other symbol.
  const auto speed = definitions::speed_unit_from(options.speed_unit).value();
  for (const Quantity quantity : usual) {
    const auto& entry = definitions::entry(quantity);
    list.push_back({quantity, std::string(entry.key),
                    definitions::shown_unit(entry.key, entry.unit, {.speed = speed})});
  }
  return list;
}

}  // namespace moundwork::cli
