// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <cstdint>
#include <initializer_list>
#include <span>

namespace moundwork::session {

/// CRC-32 as ISO 3309 and ITU-T V.42 have it, of these bytes one after another. That of bytes which
/// are all zero is not zero, so a page that the disk never got does not agree with itself.
[[nodiscard]] std::uint32_t check_sum(std::initializer_list<std::span<const std::byte>> pieces);

}  // namespace moundwork::session
