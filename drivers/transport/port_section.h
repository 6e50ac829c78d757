// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>

#include "core/table/settings_section.h"
#include "drivers/transport/port.h"

namespace moundwork::drivers {

/// The table `port` of `owner`, a part of a settings file that is named `owner_name`. Relative
/// paths are taken from `folder`.
[[nodiscard]] PortSettings read_port(const table::Section& owner, const std::string& owner_name,
                                     const std::filesystem::path& folder, table::Faults& faults);

}  // namespace moundwork::drivers
