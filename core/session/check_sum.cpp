// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/check_sum.h"

#include <boost/crc.hpp>

namespace moundwork::session {

std::uint32_t check_sum(std::initializer_list<std::span<const std::byte>> pieces) {
  boost::crc_32_type sum;
  for (const auto& piece : pieces) sum.process_bytes(piece.data(), piece.size());
  return sum.checksum();
}

}  // namespace moundwork::session
