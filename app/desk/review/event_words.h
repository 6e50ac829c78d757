// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>

#include "core/definitions/catalogue.h"

namespace moundwork::desk {

/// An event as its marker says it: "lead contact".
[[nodiscard]] QString event_label(definitions::Event event);

/// "+12.4 ms" from lead contact; "not found" for NaN.
[[nodiscard]] QString from_contact_text(double seconds);
/// The same with a standard uncertainty: "+12.4 ± 0.8 ms".
[[nodiscard]] QString from_contact_text(double seconds, double u);

}  // namespace moundwork::desk
