// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/utf8.h"

#include <algorithm>
#include <nlohmann/json.hpp>

namespace moundwork {

std::string valid_utf8(std::string_view text) {
  if (std::all_of(text.begin(), text.end(), [](unsigned char c) { return c < 0x80; }))
    return std::string(text);
  using nlohmann::json;
  // The JSON library replaces by Unicode's own rule.
  return json::parse(json(text).dump(-1, ' ', false, json::error_handler_t::replace))
      .get<std::string>();
}

}  // namespace moundwork
