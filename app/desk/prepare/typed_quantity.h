// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

#include "core/base/result.h"
#include "core/base/units.h"

namespace moundwork::desk {

/// A number as people type it into a cell whose heading names `unit`: "1.88", "1,88", "188 cm",
/// "6 ft 2 in", "6'2\"", "82 kg". In SI. A bare number is taken in `unit`; without one (empty) it
/// is refused. `where` begins the error's sentence.
[[nodiscard]] Result<double> typed_quantity(std::string_view text, Dimension dimension,
                                            std::string_view unit, std::string_view where);

/// How days with slashes are meant that do not begin with the year.
enum class DayOrder { unsettled, month_first, day_first };
/// What a day such as 7/14/2003 or 14/7/2003 says of that: only one order makes it a day.
[[nodiscard]] DayOrder order_of_day(std::string_view text);
/// Whether the text is a day with slashes that does not begin with the year.
[[nodiscard]] bool has_slashes(std::string_view text);

/// A day as YYYY-MM-DD from "2008-05-03", "2008/5/3" or "3.5.2008"; with slashes and the year last
/// in the `order` that is settled, or that the day settles itself. Else it is refused, as it is
/// read one way here and another there.
[[nodiscard]] Result<std::string> typed_day(std::string_view text, std::string_view where,
                                            DayOrder order = DayOrder::unsettled);

}  // namespace moundwork::desk
