// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

namespace moundwork {

/// A random (version 4) UUID, RFC 4122, in lower-case text.
[[nodiscard]] std::string new_uuid();

}  // namespace moundwork
