// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "core/base/result.h"

namespace moundwork::cli {

/// The sentence of a failure with the command's own words for what would help: its options.
[[nodiscard]] std::string error_words(const Error& error);

}  // namespace moundwork::cli
