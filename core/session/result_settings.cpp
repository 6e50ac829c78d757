// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/result_settings.h"

#include <exception>
#include <nlohmann/json.hpp>

namespace moundwork::session {

Result<definitions::Settings> settings_of(const ResultSet& results, const std::string& where) {
  definitions::Settings settings;
  try {
    nlohmann::json::parse(results.settings).get_to(settings);
  } catch (const std::exception& problem) {
    return fail(where,
                std::string("the settings of its analysis cannot be read: ") + problem.what(),
                Remedy::measure);
  }
  return settings;
}

}  // namespace moundwork::session
