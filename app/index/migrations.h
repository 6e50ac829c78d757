// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/index/connection.h"

namespace moundwork::index {

/// Version of the schema that a database has; 0 for one that holds no index.
[[nodiscard]] Result<int> version_of(const Connection& connection);

/// Brings a database to `version`, all steps or none; several programs may try at once. A database
/// that is there already or beyond is left as it is.
[[nodiscard]] Result<void> migrate(const Connection& connection, int version);

}  // namespace moundwork::index
