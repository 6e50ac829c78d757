// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <string_view>

#include "app/desk/kinds/kind.h"

namespace moundwork::desk {

[[nodiscard]] std::span<const ShownKind* const> shown_kinds();

/// The kind of an instrument that sends events.
[[nodiscard]] const ShownKind& shown_kind(std::string_view key);

}  // namespace moundwork::desk
