// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

/// Consistent Overhead Byte Stuffing (S. Cheshire and M. Baker, IEEE/ACM Transactions on Networking
/// 7(2), 1999): takes every zero byte out of a packet, so that a zero can end it.
namespace moundwork::drivers {

/// Without the ending zero.
[[nodiscard]] std::vector<std::uint8_t> cobs_encode(std::span<const std::uint8_t> packet);

/// Decodes in place (the packet is never longer than its coding) and returns the packet's length;
/// nothing if `coded` is empty, holds a zero or ends within a run.
[[nodiscard]] std::optional<std::size_t> cobs_decode(std::span<std::uint8_t> coded);

}  // namespace moundwork::drivers
