// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <string_view>

namespace moundwork::desk {

/// A catalogue key as people read it: "Drive peak force", "Braking impulse per mass".
[[nodiscard]] QString plain_name(std::string_view key);

}  // namespace moundwork::desk
