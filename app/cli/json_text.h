// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <nlohmann/json.hpp>
#include <string>

namespace moundwork::cli {

enum class JsonForm { page, line };

/// What a command prints for other programs, without the last line's end. A name that is not UTF-8
/// (a file's, or one typed on an old terminal) is shown with U+FFFD rather than ends the command.
[[nodiscard]] inline std::string json_text(const nlohmann::ordered_json& document,
                                           JsonForm form = JsonForm::page) {
  return document.dump(form == JsonForm::page ? 1 : -1, ' ', false,
                       nlohmann::ordered_json::error_handler_t::replace);
}

}  // namespace moundwork::cli
