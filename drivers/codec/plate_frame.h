// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <vector>

#include "drivers/codec/sample_codec.h"

namespace moundwork::drivers {

/// The binary plate frame, version 1 (docs/devices.md). All numbers little-endian:
///   0  u8   version, 1
///   1  u8   bytes per sample, 3 or 4 (two's complement)
///   2  u8   channels M, 1 to 64
///   3  u8   rows N, 1 to 255
///   4  u32  sequence number of the frame
///   8  u32  device's tick count at the first row
///   12      N x M samples, row by row
///   end u32 CRC-32 (ISO-HDLC, as in Ethernet) of everything before
/// The frame is COBS coded and ends with a zero byte.
struct PlateFrame {
  std::uint32_t sequence = 0;
  std::uint32_t ticks = 0;
  int rows = 0;
  int channels = 0;
  std::vector<std::int32_t> samples;  ///< row-major (rows x channels)
};

inline constexpr int most_channels = 64;
inline constexpr int most_rows = 255;

enum class SampleWidth : int { three_bytes = 3, four_bytes = 4 };

/// Coded frame with its ending zero. Throws std::invalid_argument on a shape outside the format or
/// a sample that the width cannot hold.
[[nodiscard]] std::vector<std::uint8_t> encode(const PlateFrame& frame, SampleWidth width);

/// Reads frames of `channels` channels; others are malformed.
class PlateFrameCodec : public SampleCodec {
 public:
  explicit PlateFrameCodec(int channels);
  void push(std::span<const std::uint8_t> bytes, const Sink& sink) override;
  void reset() override;
  [[nodiscard]] const CodecCounts& counts() const override { return counts_; }
  [[nodiscard]] int counter_bits() const override { return 32; }

 private:
  enum class Fault { none, malformed, checksum };
  Fault take_frame(const Sink& sink);

  int channels_;
  std::vector<std::uint8_t> pending_;  // coded bytes since the last zero
  bool synchronised_ = false;          // a boundary was seen
  bool too_long_ = false;
  std::optional<std::uint32_t> next_sequence_;
  std::vector<double> values_;
  CodecCounts counts_;
};

}  // namespace moundwork::drivers
