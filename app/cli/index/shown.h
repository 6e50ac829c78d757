// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/definitions/catalogue.h"

namespace CLI {
class App;
}

namespace moundwork::cli {

struct QuantityOptions {
  std::vector<std::string> quantities;  ///< keys, as typed
  std::string speed_unit = "m/s";
};
void add_quantity(CLI::App& command, QuantityOptions& options, bool required);

/// A quantity on the screen: its value in SI times `factor`.
struct Shown {
  definitions::Quantity quantity;
  std::string key, unit;
  double factor = 1.0;
};
/// Those asked for, else the `usual` ones. Fails on a key that is no quantity's.
[[nodiscard]] Result<std::vector<Shown>> shown_of(const QuantityOptions& options,
                                                  std::vector<definitions::Quantity> usual);

}  // namespace moundwork::cli
