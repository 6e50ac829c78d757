// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

#include "core/definitions/catalogue.h"

namespace moundwork::definitions {

/// What people call it, everywhere the same: "lead contact".
[[nodiscard]] std::string event_name(Event event);
/// What people call what a key stands for: an event's or quantity's name, else the key's own words,
/// as of a flag or a tag: "no radar".
[[nodiscard]] std::string key_name(std::string_view key);

}  // namespace moundwork::definitions
