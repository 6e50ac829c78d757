// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "core/definitions/catalogue.h"

namespace moundwork::definitions {

/// What people call it, everywhere the same: "drive peak force per body weight".
[[nodiscard]] std::string quantity_name(Quantity quantity);
/// Its definition without the letters of axes: "force toward home under the back foot ...".
[[nodiscard]] std::string plain_definition(Quantity quantity);

}  // namespace moundwork::definitions
