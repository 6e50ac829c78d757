// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <string_view>

#include "core/model/kinds/kind.h"

namespace moundwork::model {

[[nodiscard]] std::span<const ModelKind* const> model_kinds();

/// Null for a key that none has.
[[nodiscard]] const ModelKind* model_kind(std::string_view key);

}  // namespace moundwork::model
