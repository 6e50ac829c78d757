// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/codec/plate_frame.h"

#include <algorithm>
#include <boost/crc.hpp>
#include <stdexcept>

#include "drivers/codec/cobs.h"

namespace moundwork::drivers {
namespace {

constexpr std::uint8_t format_version = 1;
constexpr std::size_t header_size = 12;
constexpr std::size_t crc_size = 4;
constexpr std::size_t longest_frame =
    header_size + std::size_t{most_rows} * most_channels * 4 + crc_size;
// COBS adds at most one byte in 254, and one.
constexpr std::size_t longest_coded = longest_frame + longest_frame / 254 + 1;

std::uint32_t crc_of(std::span<const std::uint8_t> bytes) {
  boost::crc_32_type crc;
  crc.process_bytes(bytes.data(), bytes.size());
  return crc.checksum();
}

void put_u32(std::vector<std::uint8_t>& bytes, std::uint32_t value) {
  for (int shift = 0; shift < 32; shift += 8)
    bytes.push_back(static_cast<std::uint8_t>(value >> shift));
}

std::uint32_t get_u32(const std::uint8_t* bytes) {
  return static_cast<std::uint32_t>(bytes[0]) | static_cast<std::uint32_t>(bytes[1]) << 8 |
         static_cast<std::uint32_t>(bytes[2]) << 16 | static_cast<std::uint32_t>(bytes[3]) << 24;
}

std::int32_t get_i24(const std::uint8_t* bytes) {
  const auto raised = static_cast<std::uint32_t>(bytes[0]) << 8 |
                      static_cast<std::uint32_t>(bytes[1]) << 16 |
                      static_cast<std::uint32_t>(bytes[2]) << 24;
  return static_cast<std::int32_t>(raised) >> 8;  // arithmetic shift carries the sign down
}

}  // namespace

std::vector<std::uint8_t> encode(const PlateFrame& frame, SampleWidth width) {
  const auto cells =
      static_cast<std::size_t>(frame.rows) * static_cast<std::size_t>(frame.channels);
  if (frame.rows < 1 || frame.rows > most_rows || frame.channels < 1 ||
      frame.channels > most_channels || frame.samples.size() != cells) {
    throw std::invalid_argument("a plate frame outside the format");
  }
  std::vector<std::uint8_t> bytes{format_version, static_cast<std::uint8_t>(width),
                                  static_cast<std::uint8_t>(frame.channels),
                                  static_cast<std::uint8_t>(frame.rows)};
  bytes.reserve(longest_frame);
  put_u32(bytes, frame.sequence);
  put_u32(bytes, frame.ticks);
  for (const std::int32_t sample : frame.samples) {
    if (width == SampleWidth::three_bytes && (sample < -(1 << 23) || sample >= 1 << 23))
      throw std::invalid_argument("a sample beyond 24 bits");
    for (int byte = 0; byte < static_cast<int>(width); ++byte)
      bytes.push_back(static_cast<std::uint8_t>(static_cast<std::uint32_t>(sample) >> (8 * byte)));
  }
  put_u32(bytes, crc_of(bytes));
  std::vector<std::uint8_t> coded = cobs_encode(bytes);
  coded.push_back(0);
  return coded;
}

PlateFrameCodec::PlateFrameCodec(int channels) : channels_(channels) {
  if (channels < 1 || channels > most_channels)
    throw std::invalid_argument("a plate frame holds 1 to 64 channels");
  pending_.reserve(longest_coded);
}

void PlateFrameCodec::reset() {
  pending_.clear();
  synchronised_ = false;
  too_long_ = false;
  next_sequence_.reset();
}

void PlateFrameCodec::push(std::span<const std::uint8_t> bytes, const Sink& sink) {
  counts_.bytes += bytes.size();
  while (!bytes.empty()) {
    const auto zero = std::find(bytes.begin(), bytes.end(), std::uint8_t{0});
    const auto length = static_cast<std::size_t>(zero - bytes.begin());
    if (pending_.size() + length > longest_coded) {
      too_long_ = true;
      pending_.clear();
    } else if (!too_long_) {
      pending_.insert(pending_.end(), bytes.begin(), zero);
    }
    if (zero == bytes.end()) return;
    bytes = bytes.subspan(length + 1);
    const std::size_t coded = pending_.size();
    if (too_long_ || coded > 0) {
      const Fault fault = too_long_ ? Fault::malformed : take_frame(sink);
      // What came before the first boundary is as a rule half a frame, and no fault of the line.
      if (fault != Fault::none && !synchronised_) {
        counts_.skipped_bytes += coded;
      } else {
        counts_.malformed += fault == Fault::malformed ? 1 : 0;
        counts_.bad_checksum += fault == Fault::checksum ? 1 : 0;
      }
    }
    synchronised_ = true;
    too_long_ = false;
    pending_.clear();
  }
}

PlateFrameCodec::Fault PlateFrameCodec::take_frame(const Sink& sink) {
  const auto size = cobs_decode(pending_);
  if (!size || *size < header_size + crc_size) return Fault::malformed;
  const std::span<const std::uint8_t> frame(pending_.data(), *size);
  if (crc_of(frame.first(*size - crc_size)) != get_u32(frame.data() + *size - crc_size))
    return Fault::checksum;
  const int width = frame[1];
  const int rows = frame[3];
  if (frame[0] != format_version || (width != 3 && width != 4) || frame[2] != channels_ ||
      rows < 1 ||
      *size != header_size +
                   static_cast<std::size_t>(rows) * static_cast<std::size_t>(channels_ * width) +
                   crc_size)
    return Fault::malformed;
  const std::uint32_t sequence = get_u32(frame.data() + 4);
  if (next_sequence_) {
    const std::uint32_t ahead = sequence - *next_sequence_;
    // Beyond half the range it is a restarted device, which the tick count shows as well.
    if (ahead < 0x80000000U) counts_.missing += ahead;
  }
  next_sequence_ = sequence + 1;

  values_.resize(static_cast<std::size_t>(rows) * static_cast<std::size_t>(channels_));
  const std::uint8_t* at = frame.data() + header_size;
  for (double& value : values_) {
    value = width == 3 ? get_i24(at) : static_cast<std::int32_t>(get_u32(at));
    at += width;
  }
  ++counts_.accepted;
  sink({get_u32(frame.data() + 8), 0, rows, values_});
  return Fault::none;
}

}  // namespace moundwork::drivers
