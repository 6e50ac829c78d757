// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/given_quantities.h"

#include <fmt/format.h>

namespace moundwork::cli {

std::optional<double> GivenQuantities::operator()(const std::string& text, Dimension dimension,
                                                  const char* option) {
  if (text.empty()) return std::nullopt;
  const auto value = parse_quantity(text, dimension, option);
  if (value) return *value;
  if (!error_) error_ = value.error();
  return std::nullopt;
}

Measured GivenQuantities::measured(const std::string& text, double u, Dimension dimension,
                                   const char* option) {
  const auto value = (*this)(text, dimension, option);
  return value ? Measured{*value, u} : Measured{};
}

Measured GivenQuantities::measured(const std::string& text, const std::string& u,
                                   Dimension dimension, const char* option) {
  const auto value = (*this)(text, dimension, option);
  const auto uncertainty = (*this)(u, dimension, fmt::format("{}-u", option).c_str());
  if (value && uncertainty && *uncertainty < 0.0 && !error_)
    error_ = fail(option, fmt::format("its uncertainty '{}' is negative", u)).value();
  return value ? Measured{*value, uncertainty.value_or(0.0)} : Measured{};
}

}  // namespace moundwork::cli
