// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/measured.h"
#include "core/session/session.h"
#include "core/table/settings_section.h"
#include "drivers/kinds/kind.h"

namespace moundwork::drivers {

/// One table of a kind in a station file, and where what it says goes.
struct StationTable {
  const toml::table& table;
  std::string name;  ///< as the user writes it: "[radar]", "[[plate]] 2"
  const std::filesystem::path& folder;
  table::Faults& faults;
  session::Session& session;       ///< whose devices are read already
  std::vector<EventPort>& events;  ///< instruments that send events
};

/// A quantity and, under `key_u`, its standard uncertainty; zero where left out.
[[nodiscard]] Measured measured(const table::Section& section, const std::string& key,
                                Dimension dimension);
/// Whether an instrument may have this name, in the file and beside the others; else a fault.
void check_name(const table::Section& section, const std::string& name,
                const session::Session& session, const std::vector<EventPort>& events);
/// The device named under "device", -1 with a fault where there is none.
[[nodiscard]] int device_index(const table::Section& section, const session::Session& session);
/// The channel of that device; 0 with a fault at `key` where there is none.
[[nodiscard]] int channel_index(const table::Section& section, std::string_view key,
                                const session::Session& session, int device,
                                const std::string& name);

}  // namespace moundwork::drivers
