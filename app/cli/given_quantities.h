// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>

#include "core/base/measured.h"
#include "core/base/result.h"
#include "core/base/units.h"

namespace moundwork::cli {

/// Reads the quantities that options give, each where it was given; the first failure is kept until
/// all are read.
class GivenQuantities {
 public:
  /// SI; nothing for an empty text or one that cannot be read.
  std::optional<double> operator()(const std::string& text, Dimension dimension,
                                   const char* option);
  /// With a standard uncertainty (SI), or one that is written like the value.
  Measured measured(const std::string& text, double u, Dimension dimension, const char* option);
  Measured measured(const std::string& text, const std::string& u, Dimension dimension,
                    const char* option);
  [[nodiscard]] const std::optional<Error>& error() const { return error_; }

 private:
  std::optional<Error> error_;
};

}  // namespace moundwork::cli
