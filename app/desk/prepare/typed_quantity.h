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

/// A day as YYYY-MM-DD from "2008-05-03", "2008/5/3" or "3.5.2008". A day with slashes that does
/// not begin with the year is refused, as it is read one way here and another there.
[[nodiscard]] Result<std::string> typed_day(std::string_view text, std::string_view where);

}  // namespace moundwork::desk
