// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <span>

namespace moundwork::c3d {

/// Byte order and float format of a C3D file, with the numbers the standard stores for them.
enum class Processor : int { intel = 84, dec = 85, mips = 86 };

/// Numbers out of a byte span in a processor's format. Positions are 0-based; the caller has
/// checked with `has` that they lie inside.
class Bytes {
 public:
  Bytes(std::span<const std::byte> bytes, Processor processor)
      : bytes_(bytes), processor_(processor) {}

  [[nodiscard]] std::size_t size() const { return bytes_.size(); }
  [[nodiscard]] bool has(std::size_t at, std::size_t count) const {
    return at <= bytes_.size() && count <= bytes_.size() - at;
  }
  [[nodiscard]] std::uint8_t u8(std::size_t at) const {
    return std::to_integer<std::uint8_t>(bytes_[at]);
  }
  [[nodiscard]] int i8(std::size_t at) const { return static_cast<std::int8_t>(u8(at)); }
  [[nodiscard]] std::uint16_t u16(std::size_t at) const {
    const unsigned first = u8(at);
    const unsigned second = u8(at + 1);
    return static_cast<std::uint16_t>(processor_ == Processor::mips ? first << 8 | second
                                                                    : second << 8 | first);
  }
  [[nodiscard]] std::int16_t i16(std::size_t at) const {
    return static_cast<std::int16_t>(u16(at));
  }
  [[nodiscard]] float f32(std::size_t at) const {
    const std::uint32_t first = u16(at);
    const std::uint32_t second = u16(at + 2);
    switch (processor_) {
      case Processor::intel:
        return std::bit_cast<float>(second << 16 | first);
      case Processor::mips:
        return std::bit_cast<float>(first << 16 | second);
      case Processor::dec:
        return dec_float(first << 16 | second);
    }
    return std::numeric_limits<float>::quiet_NaN();
  }

 private:
  // VAX F_floating: sign, 8 bits of exponent (excess 128), 23 bits of a fraction 0.1fff. Exponent 0
  // is zero, or a reserved operand when the sign is set; there is no infinity.
  static float dec_float(std::uint32_t bits) {
    const bool negative = (bits >> 31) != 0;
    const int exponent = static_cast<int>(bits >> 23 & 0xff);
    if (exponent == 0) return negative ? std::numeric_limits<float>::quiet_NaN() : 0.0F;
    const double fraction = 0.5 + static_cast<double>(bits & 0x7fffff) / (1 << 24);
    const double magnitude = std::ldexp(fraction, exponent - 128);
    return static_cast<float>(negative ? -magnitude : magnitude);
  }

  std::span<const std::byte> bytes_;
  Processor processor_;
};

}  // namespace moundwork::c3d
