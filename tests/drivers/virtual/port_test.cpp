// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/virtual/port.h"

#include <array>
#include <catch2/catch.hpp>
#include <thread>

#include "drivers/transport/stream.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::drivers;
using namespace std::chrono_literals;

namespace {

/// More than a terminal of the kernel holds.
std::vector<std::uint8_t> many_bytes() {
  std::vector<std::uint8_t> bytes(600'000);
  for (std::size_t i = 0; i < bytes.size(); ++i) bytes[i] = static_cast<std::uint8_t>(i * 31 >> 3);
  return bytes;
}

}  // namespace

TEST_CASE("a virtual port keeps what a late reader has not taken, in order and whole",
          "[virtual]") {
  const support::Folder folder;
  auto port = VirtualPort::open(folder / "plate");
  REQUIRE(port);
  StreamTransport reader((folder / "plate").string());
  REQUIRE(reader.open());
  const auto bytes = many_bytes();
  CHECK(port->write(bytes) == bytes.size());
  CHECK(port->waiting() > 0);
  std::vector<std::uint8_t> read;
  std::array<std::uint8_t, 65536> part{};
  for (int i = 0; i < 2000 && read.size() < bytes.size(); ++i) {
    port->write({});
    const auto count = reader.read(part, 5ms);
    REQUIRE(count);
    read.insert(read.end(), part.begin(), part.begin() + static_cast<std::ptrdiff_t>(*count));
  }
  CHECK(read == bytes);
  CHECK(port->waiting() == 0);
}

TEST_CASE("what is sent while nobody has the port open is lost and said to be", "[virtual]") {
  const support::Folder folder;
  auto port = VirtualPort::open(folder / "plate");
  REQUIRE(port);
  const std::vector<std::uint8_t> early(100, 1), late(100, 2);
  CHECK(port->write(early) == 0);
  StreamTransport reader((folder / "plate").string());
  REQUIRE(reader.open());
  CHECK(port->write(late) == late.size());
  std::array<std::uint8_t, 1000> part{};
  const auto count = reader.read(part, 500ms);
  REQUIRE(count);
  CHECK(*count == 100);
  CHECK(part[0] == 2);
  reader.close();
  CHECK(port->write(late) == 0);
}

TEST_CASE("a virtual port whose reader hangs takes no more than it has room for", "[virtual]") {
  const support::Folder folder;
  auto port = VirtualPort::open(folder / "plate");
  REQUIRE(port);
  StreamTransport reader((folder / "plate").string());
  REQUIRE(reader.open());
  const auto bytes = many_bytes();
  std::size_t taken = 0;
  for (int i = 0; i < 20; ++i) taken += port->write(bytes);
  CHECK(taken < 20 * bytes.size());
  CHECK(port->waiting() <= VirtualPort::room);
}
