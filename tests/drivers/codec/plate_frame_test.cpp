// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/codec/plate_frame.h"

#include <boost/crc.hpp>
#include <catch2/catch.hpp>
#include <random>
#include <string>

#include "drivers/codec/cobs.h"

using namespace moundwork::drivers;
using Stream = std::vector<std::uint8_t>;

namespace {

PlateFrame frame_of(std::uint32_t sequence, std::uint32_t ticks, int rows = 3, int channels = 2) {
  PlateFrame frame{sequence, ticks, rows, channels, {}};
  for (int i = 0; i < rows * channels; ++i)
    frame.samples.push_back(static_cast<std::int32_t>(sequence) * 100 + i - 250);
  return frame;
}

struct Received {
  std::vector<std::uint64_t> counts;
  std::vector<double> values;
};

Received receive(PlateFrameCodec& codec, const Stream& stream, std::size_t piece) {
  Received received;
  for (std::size_t at = 0; at < stream.size(); at += piece) {
    const std::size_t size = std::min(piece, stream.size() - at);
    codec.push({stream.data() + at, size}, [&](const DecodedSamples& samples) {
      received.counts.push_back(*samples.count);
      received.values.insert(received.values.end(), samples.values.begin(), samples.values.end());
    });
  }
  return received;
}

Stream join(const std::vector<PlateFrame>& frames) {
  Stream stream;
  for (const PlateFrame& frame : frames) {
    const Stream coded = encode(frame, SampleWidth::three_bytes);
    stream.insert(stream.end(), coded.begin(), coded.end());
  }
  return stream;
}

}  // namespace

TEST_CASE("the frame's checksum is the CRC-32 of the standard", "[codec]") {
  // Check value of CRC-32/ISO-HDLC in the usual catalogues: CBF43926 for "123456789".
  boost::crc_32_type crc;
  crc.process_bytes("123456789", 9);
  CHECK(crc.checksum() == 0xCBF43926U);
}

TEST_CASE("a frame has the bytes the page on devices describes", "[codec]") {
  const PlateFrame frame{0x01020304, 0x0A0B0C0D, 1, 2, {-2, 0x123456}};
  Stream coded = encode(frame, SampleWidth::three_bytes);
  REQUIRE(coded.back() == 0);
  coded.pop_back();
  const auto size = cobs_decode(coded);
  REQUIRE(size);
  // Written down by hand from the format's table.
  const Stream expected{1,    3,    2,    1,    4,    3,    2,    1,    0x0D,
                        0x0C, 0x0B, 0x0A, 0xFE, 0xFF, 0xFF, 0x56, 0x34, 0x12};
  REQUIRE(*size == expected.size() + 4);
  CHECK(Stream(coded.begin(), coded.begin() + 18) == expected);
  boost::crc_32_type crc;
  crc.process_bytes(expected.data(), expected.size());
  for (int byte = 0; byte < 4; ++byte)
    CHECK(coded[18 + static_cast<std::size_t>(byte)] == ((crc.checksum() >> (8 * byte)) & 0xFFU));
}

TEST_CASE("frames come through whole whatever the cuts between reads", "[codec]") {
  const std::vector<PlateFrame> frames{frame_of(1, 3000), frame_of(2, 6000), frame_of(3, 9000)};
  const Stream stream = join(frames);
  for (std::size_t piece = 1; piece <= stream.size(); ++piece) {
    PlateFrameCodec codec(2);
    const Received received = receive(codec, stream, piece);
    REQUIRE(received.counts == std::vector<std::uint64_t>{3000, 6000, 9000});
    REQUIRE(received.values.size() == 18);
    CHECK(received.values[0] == -150.0);
    CHECK(received.values[17] == 55.0);
    CHECK(codec.counts().accepted == 3);
    CHECK(codec.counts().missing == 0);
    CHECK(codec.counts().bytes == stream.size());
  }
}

TEST_CASE("samples keep their ends of range in both widths", "[codec]") {
  for (const auto& [width, low, high] :
       {std::tuple{SampleWidth::three_bytes, -(1 << 23), (1 << 23) - 1},
        std::tuple{SampleWidth::four_bytes, INT32_MIN, INT32_MAX}}) {
    PlateFrameCodec codec(4);
    const Stream stream = encode({0, 0, 1, 4, {low, high, 0, -1}}, width);
    const Received received = receive(codec, stream, stream.size());
    CHECK(received.values == std::vector<double>{double(low), double(high), 0.0, -1.0});
  }
  CHECK_THROWS_AS(encode({0, 0, 1, 1, {1 << 23}}, SampleWidth::three_bytes), std::invalid_argument);
  CHECK_THROWS_AS(encode({0, 0, 2, 1, {1}}, SampleWidth::three_bytes), std::invalid_argument);
}

TEST_CASE("no flipped bit is ever taken for data", "[codec]") {
  const Stream one = join({frame_of(1, 3000)});
  const Stream two = join({frame_of(2, 6000)});
  const Stream three = join({frame_of(3, 9000)});
  for (std::size_t at = 0; at < two.size(); ++at) {
    for (int bit = 0; bit < 8; ++bit) {
      Stream damaged = two;
      damaged[at] ^= static_cast<std::uint8_t>(1U << bit);
      Stream stream = one;
      stream.insert(stream.end(), damaged.begin(), damaged.end());
      stream.insert(stream.end(), three.begin(), three.end());
      PlateFrameCodec codec(2);
      const Received received = receive(codec, stream, stream.size());
      CAPTURE(at, bit);
      // A damaged boundary takes the frame behind it along; nothing wrong comes out.
      for (const std::uint64_t count : received.counts) CHECK((count == 3000 || count == 9000));
      REQUIRE(received.counts.front() == 3000);
      const CodecCounts& counts = codec.counts();
      CHECK(counts.bad_checksum + counts.malformed > 0);
      if (received.counts.size() == 2) CHECK(counts.missing == 1);
    }
  }
}

TEST_CASE("noise before, between and half frames are counted and passed over", "[codec]") {
  PlateFrameCodec codec(2);
  Stream stream = join({frame_of(7, 0)});
  stream.erase(stream.begin(), stream.begin() + 5);  // opened in the midst of a frame
  const Stream good = join({frame_of(8, 3000)});
  stream.insert(stream.end(), good.begin(), good.end());
  std::mt19937 random(11);
  for (int i = 0; i < 100000; ++i) stream.push_back(static_cast<std::uint8_t>(random() % 255 + 1));
  stream.push_back(0);
  const Stream last = join({frame_of(11, 12000)});
  stream.insert(stream.end(), last.begin(), last.end());
  const Received received = receive(codec, stream, 777);
  CHECK(received.counts == std::vector<std::uint64_t>{3000, 12000});
  CHECK(codec.counts().malformed == 1);
  CHECK(codec.counts().missing == 2);
  CHECK(codec.counts().skipped_bytes > 0);
}

TEST_CASE("an interrupted frame does not join the next stream's first", "[codec]") {
  PlateFrameCodec codec(2);
  Stream half = join({frame_of(1, 0)});
  half.resize(half.size() / 2);
  (void)receive(codec, half, half.size());
  codec.reset();
  const Stream stream = join({frame_of(50, 500), frame_of(51, 3500)});
  CHECK(receive(codec, stream, stream.size()).counts == std::vector<std::uint64_t>{500, 3500});
  CHECK(codec.counts().missing == 0);
}

TEST_CASE("a frame of another plate's shape is not used", "[codec]") {
  PlateFrameCodec codec(6);
  const Stream stream = join({frame_of(1, 0, 3, 2), frame_of(2, 0, 1, 6)});
  CHECK(receive(codec, stream, stream.size()).values.size() == 6);
}
