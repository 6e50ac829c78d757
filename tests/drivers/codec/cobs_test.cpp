// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/codec/cobs.h"

#include <catch2/catch.hpp>
#include <numeric>
#include <random>

using namespace moundwork::drivers;
using Packet = std::vector<std::uint8_t>;

namespace {

Packet run(int first, int last) {
  Packet packet(static_cast<std::size_t>(last - first + 1));
  std::iota(packet.begin(), packet.end(), static_cast<std::uint8_t>(first));
  return packet;
}

Packet operator+(Packet a, const Packet& b) {
  a.insert(a.end(), b.begin(), b.end());
  return a;
}

}  // namespace

TEST_CASE("COBS gives the codings of the published examples", "[codec]") {
  // The worked examples commonly printed with the method of Cheshire and Baker 1999 (from memory of
  // the encyclopaedia table; each follows from the paper's rules by hand).
  const std::vector<std::pair<Packet, Packet>> examples{
      {{0x00}, {0x01, 0x01}},
      {{0x00, 0x00}, {0x01, 0x01, 0x01}},
      {{0x00, 0x11, 0x00}, {0x01, 0x02, 0x11, 0x01}},
      {{0x11, 0x22, 0x00, 0x33}, {0x03, 0x11, 0x22, 0x02, 0x33}},
      {{0x11, 0x22, 0x33, 0x44}, {0x05, 0x11, 0x22, 0x33, 0x44}},
      {{0x11, 0x00, 0x00, 0x00}, {0x02, 0x11, 0x01, 0x01, 0x01}},
      {run(0x01, 0xFE), Packet{0xFF} + run(0x01, 0xFE)},
      {run(0x00, 0xFE), Packet{0x01, 0xFF} + run(0x01, 0xFE)},
      {run(0x01, 0xFF), Packet{0xFF} + run(0x01, 0xFE) + Packet{0x02, 0xFF}},
      {run(0x02, 0xFF) + Packet{0x00}, Packet{0xFF} + run(0x02, 0xFF) + Packet{0x01, 0x01}},
      {run(0x03, 0xFF) + Packet{0x00, 0x01}, Packet{0xFE} + run(0x03, 0xFF) + Packet{0x02, 0x01}},
  };
  for (const auto& [packet, coded] : examples) {
    CHECK(cobs_encode(packet) == coded);
    Packet back = coded;
    const auto size = cobs_decode(back);
    REQUIRE(size);
    back.resize(*size);
    CHECK(back == packet);
  }
}

TEST_CASE("COBS brings any packet back and its coding has no zero", "[codec]") {
  std::mt19937 random(5);
  for (int trial = 0; trial < 2000; ++trial) {
    Packet packet(1 + random() % 1200);
    const unsigned zeros = 1U << (random() % 10);
    for (auto& byte : packet)
      byte = random() % zeros == 0 ? 0 : static_cast<std::uint8_t>(random());
    Packet coded = cobs_encode(packet);
    CHECK(std::find(coded.begin(), coded.end(), 0) == coded.end());
    const auto size = cobs_decode(coded);
    REQUIRE(size);
    coded.resize(*size);
    CHECK(coded == packet);
  }
}

TEST_CASE("COBS refuses what is no coding", "[codec]") {
  for (Packet wrong : {Packet{}, Packet{0x05, 0x11, 0x22}, Packet{0x00}, Packet{0x03, 0x11, 0x00}})
    CHECK_FALSE(cobs_decode(wrong));
}
