// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/transport/tcp.h"

#include <netdb.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/socket.h>

#include <cerrno>
#include <memory>

namespace moundwork::drivers {
namespace {

constexpr int connect_patience_ms = 2000;

void set(int socket, int level, int option, int value) {
  // Best effort: without it the link still works, only a pulled cable is noticed later.
  (void)::setsockopt(socket, level, option, &value, sizeof value);
}

/// A pulled network cable sends nothing; the kernel's probes find it out in about 4 s.
void watch_for_loss(int socket) {
  set(socket, SOL_SOCKET, SO_KEEPALIVE, 1);
  set(socket, IPPROTO_TCP, TCP_KEEPIDLE, 1);
  set(socket, IPPROTO_TCP, TCP_KEEPINTVL, 1);
  set(socket, IPPROTO_TCP, TCP_KEEPCNT, 3);
}

/// 0, or the errno of the failed connection.
int connect_within(int socket, const addrinfo& address) {
  if (::connect(socket, address.ai_addr, address.ai_addrlen) == 0) return 0;
  if (errno != EINPROGRESS) return errno;
  pollfd waited{socket, POLLOUT, 0};
  const int ready = ::poll(&waited, 1, connect_patience_ms);
  if (ready == 0) return ETIMEDOUT;
  if (ready < 0) return errno;
  int error = 0;
  socklen_t size = sizeof error;
  return ::getsockopt(socket, SOL_SOCKET, SO_ERROR, &error, &size) == 0 ? error : errno;
}

}  // namespace

Result<void> TcpTransport::open() {
  addrinfo wanted{};
  wanted.ai_socktype = SOCK_STREAM;
  addrinfo* found = nullptr;
  if (const int code = ::getaddrinfo(host_.c_str(), port_.c_str(), &wanted, &found); code != 0) {
    return fail(describe(),
                std::string("the address cannot be found (") + ::gai_strerror(code) + ")",
                "check host and port in the station file");
  }
  const std::unique_ptr<addrinfo, decltype(&::freeaddrinfo)> addresses(found, &::freeaddrinfo);
  int error = 0;
  for (const addrinfo* address = found; address != nullptr; address = address->ai_next) {
    Descriptor socket(::socket(address->ai_family,
                               address->ai_socktype | SOCK_NONBLOCK | SOCK_CLOEXEC,
                               address->ai_protocol));
    error = socket ? connect_within(socket.number(), *address) : errno;
    if (error == 0) {
      watch_for_loss(socket.number());
      socket_ = std::move(socket);
      return {};
    }
  }
  return fail(describe(), "no connection (" + system_message(error) + ")",
              "check that the device is on and in this network");
}

Result<std::size_t> TcpTransport::read(std::span<std::uint8_t> into,
                                       std::chrono::milliseconds patience) {
  return read_some(socket_.number(), into, patience, describe());
}

}  // namespace moundwork::drivers
