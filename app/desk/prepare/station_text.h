// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <array>
#include <string>
#include <string_view>

#include "core/base/measured.h"
#include "core/base/result.h"
#include "drivers/station/station.h"

/// Changes of single values in a station file's text. Everything else stays as the person wrote it:
/// comments, order, blank lines.
namespace moundwork::desk {

/// A key of a station file (docs/station-file.md).
struct StationKey {
  std::string table;  ///< "device", "plate", "radar"; empty for the top
  int number = -1;    ///< which [[device]] or [[plate]], from 0; -1 where there is only one
  std::string key;
};

/// The text with that key's value replaced by `value` (TOML), or written under the table's heading
/// where it is not there yet. Fails when the text is no TOML or has no such table.
[[nodiscard]] Result<std::string> with_value(const std::string& text, const StationKey& key,
                                             std::string_view value);

// Values as TOML.
[[nodiscard]] std::string toml_text(std::string_view text);
[[nodiscard]] std::string toml_point(const Eigen::Vector3d& point);  ///< m, to the tenth of a mm
[[nodiscard]] std::string toml_corners(const std::array<Eigen::Vector3d, 4>& corners);
/// "1.5 ms" in quotes; `factor` from the unit to SI.
[[nodiscard]] std::string toml_quantity(double value, double factor, std::string_view unit);
[[nodiscard]] std::string toml_port(const drivers::PortSettings& port);

/// A port in one line: "/dev/ttyUSB0", "USB 0403:6001 NM-B", "192.168.7.20:4001", "stream PATH",
/// "replay PATH"; and back, keeping what the line does not say (baud rate, parity).
[[nodiscard]] std::string port_line(const drivers::PortSettings& port);
[[nodiscard]] Result<drivers::PortSettings> port_of_line(std::string_view line,
                                                         const drivers::PortSettings& before);

/// A station to begin with: two plates and a radar on serial ports, a mound that falls as the rules
/// of the game have it, and a comment beside each thing that must be looked up or measured.
[[nodiscard]] std::string new_station_text();

}  // namespace moundwork::desk
