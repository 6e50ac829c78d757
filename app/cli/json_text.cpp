// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/json_text.h"

#include <nlohmann/json.hpp>

namespace moundwork::cli {

std::string json_text(const nlohmann::ordered_json& document, JsonForm form) {
  return document.dump(form == JsonForm::page ? 1 : -1, ' ', false,
                       nlohmann::ordered_json::error_handler_t::replace);
}

}  // namespace moundwork::cli
