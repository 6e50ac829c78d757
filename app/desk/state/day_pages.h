// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace moundwork::desk {

/// The pages in the order of the day. Their numbers are kept in the user's settings.
enum class DayPage { prepare, throws, review, relate, summaries };
inline constexpr int day_page_count = 5;

}  // namespace moundwork::desk
