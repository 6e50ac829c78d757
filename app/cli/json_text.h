// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

namespace moundwork::cli {

enum class JsonForm { page, line };

/// What a command prints for other programs, without the last line's end. A name that is not UTF-8
/// (a file's, or one typed on an old terminal) is shown with U+FFFD rather than ends the command.
[[nodiscard]] std::string json_text(const nlohmann::ordered_json& document,
                                    JsonForm form = JsonForm::page);

}  // namespace moundwork::cli
