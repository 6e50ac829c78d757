// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string_view>

namespace moundwork::safety {

/// Whole years from one ISO 8601 day to another, as birthdays are counted; a date with a time after
/// it counts by its day. Nothing where either is no date or the second is before the first. Born on
/// 29 February: a year older on 1 March of common years.
[[nodiscard]] std::optional<int> age_on(std::string_view born, std::string_view day);

}  // namespace moundwork::safety
