// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/transport/transport.h"

#include <arpa/inet.h>
#include <dlfcn.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <numeric>

#include "drivers/transport/replay.h"
#include "drivers/transport/serial.h"
#include "drivers/transport/stream.h"
#include "drivers/transport/tcp.h"
#include "drivers/virtual/port.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::drivers;
using namespace std::chrono_literals;
namespace fs = std::filesystem;

namespace {

std::vector<std::uint8_t> every_byte() {
  std::vector<std::uint8_t> bytes(256);
  std::iota(bytes.begin(), bytes.end(), std::uint8_t{0});
  return bytes;
}

/// Reads until `count` bytes are there or half a second has brought none.
std::vector<std::uint8_t> read_all(Transport& transport, std::size_t count) {
  std::vector<std::uint8_t> all;
  std::array<std::uint8_t, 100> part{};
  while (all.size() < count) {
    const auto got = transport.read(part, 500ms);
    REQUIRE(got);
    if (*got == 0) break;
    all.insert(all.end(), part.begin(), part.begin() + static_cast<std::ptrdiff_t>(*got));
  }
  return all;
}

/// A read that must find the device gone within a second.
bool finds_loss(Transport& transport) {
  std::array<std::uint8_t, 100> part{};
  const auto begin = std::chrono::steady_clock::now();
  while (std::chrono::steady_clock::now() - begin < 1s)
    if (!transport.read(part, 50ms)) return true;
  return false;
}

bool is_quiet(Transport& transport) {
  std::array<std::uint8_t, 100> part{};
  const auto begin = std::chrono::steady_clock::now();
  const auto got = transport.read(part, 30ms);
  return got && *got == 0 && std::chrono::steady_clock::now() - begin < 500ms;
}

void live_device_passes(Transport& transport, const fs::path& link) {
  auto port = VirtualPort::open(link);
  REQUIRE(port);
  REQUIRE(transport.open());
  CHECK(is_quiet(transport));
  const auto bytes = every_byte();
  CHECK(port->write(bytes, 100ms) == bytes.size());
  CHECK(read_all(transport, bytes.size()) == bytes);

  { const VirtualPort pulled = std::move(*port); }
  CHECK(finds_loss(transport));
  transport.close();
  CHECK_FALSE(transport.open());

  auto again = VirtualPort::open(link);
  REQUIRE(again);
  REQUIRE(transport.open());
  CHECK(again->write(bytes, 100ms) == bytes.size());
  CHECK(read_all(transport, bytes.size()) == bytes);
  transport.close();
}

}  // namespace

TEST_CASE("a pseudo-terminal passes every byte, tells its unplugging and opens again",
          "[transport]") {
  const support::Folder folder;
  StreamTransport transport((folder / "plate").string());
  live_device_passes(transport, folder / "plate");
}

TEST_CASE("a port has one reader, so that nobody gets half of its bytes", "[transport]") {
  const support::Folder folder;
  const auto port = VirtualPort::open(folder / "plate");
  REQUIRE(port);
  StreamTransport first((folder / "plate").string());
  StreamTransport second((folder / "plate").string());
  REQUIRE(first.open());
  const auto refused = second.open();
  REQUIRE_FALSE(refused);
  CHECK(refused.error().sentence().find("another program") != std::string::npos);
  first.close();
  CHECK(second.open());
}

TEST_CASE("the serial driver passes every byte, tells its unplugging and opens again",
          "[transport]") {
  if (dlsym(RTLD_DEFAULT, "moundwork_pty_as_serial") == nullptr) {
    WARN("SKIPPED: the library that makes a pseudo-terminal a serial port is not preloaded");
    return;
  }
  const support::Folder folder;
  const fs::path link = folder / "plate";
  std::string terminal;
  {
    const auto probe = VirtualPort::open(link);
    REQUIRE(probe);
    terminal = probe->terminal();
  }
  // The kernel gives the lowest free number again, so the name stays.
  SerialSettings settings;
  settings.name = terminal;
  settings.baud_rate = 921600;
  SerialTransport transport(settings);
  live_device_passes(transport, link);

  settings.data_bits = 4;
  auto port = VirtualPort::open(link);
  REQUIRE(port);
  const auto refused = SerialTransport(settings).open();
  REQUIRE_FALSE(refused);
  CHECK(refused.error().sentence().find("does not take the settings") != std::string::npos);
}

TEST_CASE("serial ports that are not there are told by name or identity", "[transport]") {
  SerialSettings by_name;
  by_name.name = "/dev/ttyNowhere";
  const auto no_name = SerialTransport(by_name).open();
  REQUIRE_FALSE(no_name);
  CHECK(no_name.error().where == "/dev/ttyNowhere");
  SerialSettings by_identity;
  by_identity.usb = {0xFFFE, 0x0001, "no such device"};
  const auto no_identity = SerialTransport(by_identity).open();
  REQUIRE_FALSE(no_identity);
  CHECK(no_identity.error().where == "USB fffe:0001 serial no such device");
  CHECK(list_serial_ports());
}

TEST_CASE("a FIFO passes bytes and tells that its writer left", "[transport]") {
  const support::Folder folder;
  const std::string path = (folder / "radar").string();
  REQUIRE(mkfifo(path.c_str(), 0600) == 0);
  StreamTransport transport(path);
  REQUIRE(transport.open());
  const int writer = ::open(path.c_str(), O_WRONLY);
  REQUIRE(writer >= 0);
  CHECK(is_quiet(transport));
  const auto bytes = every_byte();
  REQUIRE(::write(writer, bytes.data(), bytes.size()) == 256);
  CHECK(read_all(transport, 256) == bytes);
  ::close(writer);
  CHECK(finds_loss(transport));
}

TEST_CASE("a plain file is no live device", "[transport]") {
  const support::Folder folder;
  const fs::path path = folder / "file";
  std::ofstream(path) << "bytes";
  const auto opened = StreamTransport(path.string()).open();
  REQUIRE_FALSE(opened);
  CHECK(opened.error().sentence().find("replay") != std::string::npos);
  CHECK_FALSE(StreamTransport((folder / "none").string()).open());
}

TEST_CASE("a network device passes bytes, tells that it left and can be reached again",
          "[transport]") {
  const int listening = ::socket(AF_INET, SOCK_STREAM, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  REQUIRE(::bind(listening, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0);
  REQUIRE(::listen(listening, 1) == 0);
  socklen_t size = sizeof address;
  REQUIRE(::getsockname(listening, reinterpret_cast<sockaddr*>(&address), &size) == 0);
  TcpTransport transport("127.0.0.1", std::to_string(ntohs(address.sin_port)));
  for (int turn = 0; turn < 2; ++turn) {
    REQUIRE(transport.open());
    const int device = ::accept(listening, nullptr, nullptr);
    REQUIRE(device >= 0);
    CHECK(is_quiet(transport));
    const auto bytes = every_byte();
    REQUIRE(::send(device, bytes.data(), bytes.size(), 0) == 256);
    CHECK(read_all(transport, 256) == bytes);
    ::close(device);
    CHECK(finds_loss(transport));
    transport.close();
  }
  ::close(listening);
  const auto refused = transport.open();
  REQUIRE_FALSE(refused);
  CHECK(refused.error().what.find("no connection") == 0);
}

TEST_CASE("a capture is replayed whole, at its pace, and then is finished", "[transport]") {
  const support::Folder folder;
  const fs::path path = folder / "capture.bin";
  const auto bytes = every_byte();
  std::ofstream(path, std::ios::binary).write(reinterpret_cast<const char*>(bytes.data()), 256);
  for (const double pace : {0.0, 1000.0}) {
    ReplayTransport transport(path, pace);
    for (int turn = 0; turn < 2; ++turn) {
      REQUIRE(transport.open());
      CHECK_FALSE(transport.finished());
      const auto begin = std::chrono::steady_clock::now();
      std::vector<std::uint8_t> all;
      std::array<std::uint8_t, 64> part{};
      while (!transport.finished()) {
        const auto got = transport.read(part, 50ms);
        REQUIRE(got);
        all.insert(all.end(), part.begin(), part.begin() + static_cast<std::ptrdiff_t>(*got));
      }
      CHECK(all == bytes);
      if (pace > 0.0) CHECK(std::chrono::steady_clock::now() - begin > 200ms);
      transport.close();
    }
  }
  CHECK_FALSE(ReplayTransport(folder / "none", 0.0).open());
}
