// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <span>

namespace moundwork::drivers {

/// Samples that came together and carry one count.
struct DecodedSamples {
  /// Device's counter at the first row, as sent (it may wrap); absent if the device sends none.
  std::optional<std::uint64_t> count;
  std::int64_t lost_before = 0;  ///< rows the codec knows to be lost, for devices without counter
  int rows = 0;
  std::span<const double>
      values;  ///< row-major (rows x channels), raw units; valid during the call
};

/// What happened to the bytes, so that nothing is dropped unseen.
struct CodecCounts {
  std::uint64_t bytes = 0;
  std::uint64_t accepted = 0;  ///< frames or lines used
  std::uint64_t bad_checksum = 0;
  std::uint64_t malformed = 0;      ///< of wrong shape, length or content
  std::uint64_t missing = 0;        ///< frames that the sequence number shows to be lost
  std::uint64_t skipped_bytes = 0;  ///< half a frame or line at each opening
};

/// Pure function of the bytes: no clock, no I/O. Corrupt input is counted and never used.
class SampleCodec {
 public:
  using Sink = std::function<void(const DecodedSamples&)>;
  virtual ~SampleCodec() = default;

  /// Any cut of the stream into calls gives the same samples.
  virtual void push(std::span<const std::uint8_t> bytes, const Sink& sink) = 0;
  /// Forget a half frame: the stream was interrupted.
  virtual void reset() = 0;
  [[nodiscard]] virtual const CodecCounts& counts() const = 0;
  /// The counter wraps at 2^bits.
  [[nodiscard]] virtual int counter_bits() const = 0;
};

}  // namespace moundwork::drivers
