// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/definitions/catalogue.h"
#include "core/definitions/shown_unit.h"

namespace CLI {
class App;
}

namespace moundwork::cli {

struct QuantityOptions {
  std::vector<std::string> quantities;  ///< keys, as typed
  std::string speed_unit = "m/s";
};
void add_quantity(CLI::App& command, QuantityOptions& options, bool required);

/// A quantity on the screen.
struct Shown {
  definitions::Quantity quantity;
  std::string key;
  definitions::ShownUnit as;

  /// A value in SI with the digits that its uncertainty (SI) deserves, as typed.
  [[nodiscard]] std::string text(double value, double u) const;
};
/// Those asked for, else the `usual` ones. Fails on a key that is no quantity's.
[[nodiscard]] Result<std::vector<Shown>> shown_of(const QuantityOptions& options,
                                                  std::vector<definitions::Quantity> usual);

}  // namespace moundwork::cli
