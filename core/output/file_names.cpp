// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/file_names.h"

#include <cstddef>

namespace moundwork::output {

std::string as_file_name(std::string text) {
  for (char& c : text) {
    const bool fine = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                      c == '-' || c == '_' || static_cast<unsigned char>(c) >= 0x80;
    if (!fine) c = '-';
  }
  return text;
}

std::string session_in_name(const std::string& session_id) {
  constexpr std::size_t uuid_length = 36;    // 8-4-4-4-12
  constexpr std::size_t enough_of_uuid = 8;  // 32 random bits tell a lab's sessions apart
  return as_file_name(session_id.size() == uuid_length ? session_id.substr(0, enough_of_uuid)
                                                       : session_id);
}

}  // namespace moundwork::output
