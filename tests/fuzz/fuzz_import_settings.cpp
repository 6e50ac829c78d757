// SPDX-License-Identifier: GPL-3.0-or-later
// What the settings' parser accepts must be usable: plates that build, columns that match.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "core/plate/wrench.h"
#include "core/table/import_settings.h"

using namespace moundwork;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto settings = table::parse_import_settings(
      std::string_view(reinterpret_cast<const char*>(data), size), "fuzz.toml");
  if (!settings) {
    if (settings.error().sentence().empty()) std::abort();
    return 0;
  }
  if (settings->time_column.has_value() == settings->sample_rate.has_value()) std::abort();
  if (settings->plates.empty() || settings->plates.size() > 2) std::abort();
  for (const auto& plate : settings->plates) {
    const auto map = plate::WrenchMap::make(plate.description);
    if (!map) std::abort();
    const auto channels = static_cast<std::size_t>(map->channel_count());
    if (plate.names.size() != channels || plate.units.size() != channels ||
        plate.factors.size() != channels)
      std::abort();
    const auto wrench = (*map)(Eigen::MatrixXd::Ones(1, map->channel_count()));
    (void)plate::centre_of_pressure(wrench, map->frame(), 50.0);
  }
  return 0;
}
