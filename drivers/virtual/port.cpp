// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/virtual/port.h"

#include <fcntl.h>
#include <poll.h>
#include <stdlib.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <cerrno>

namespace moundwork::drivers {

Result<VirtualPort> VirtualPort::open(std::filesystem::path link) {
  const std::string where = "virtual port " + link.string();
  Descriptor master(::posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC));
  std::array<char, 128> name{};
  if (!master || ::grantpt(master.number()) != 0 || ::unlockpt(master.number()) != 0 ||
      ::ptsname_r(master.number(), name.data(), name.size()) != 0)
    return fail(where, "no pseudo-terminal to be had (" + system_message(errno) + ")");
  // Raw from the start, or bytes sent before the reader sets it would be echoed and changed.
  termios settings{};
  if (::tcgetattr(master.number(), &settings) != 0)
    return fail(where, "the terminal has no settings (" + system_message(errno) + ")");
  ::cfmakeraw(&settings);
  (void)::tcsetattr(master.number(), TCSANOW, &settings);

  std::error_code status;
  if (std::filesystem::is_symlink(link, status)) std::filesystem::remove(link, status);
  std::filesystem::create_symlink(name.data(), link, status);
  if (status)
    return fail(where, "the link cannot be made (" + status.message() + ")",
                "give a folder that can be written");
  return VirtualPort(std::move(master), name.data(), std::move(link));
}

VirtualPort& VirtualPort::operator=(VirtualPort&& other) noexcept {
  if (this != &other) {
    unplug();
    master_ = std::move(other.master_);
    terminal_ = std::move(other.terminal_);
    link_ = std::move(other.link_);
  }
  return *this;
}

void VirtualPort::unplug() noexcept {
  if (!master_) return;
  master_.reset();
  std::error_code ignored;
  // Another port may have taken the name by now.
  if (std::filesystem::read_symlink(link_, ignored) == terminal_)
    std::filesystem::remove(link_, ignored);
}

std::size_t VirtualPort::write(Bytes bytes, std::chrono::milliseconds patience) {
  const auto until = std::chrono::steady_clock::now() + patience;
  std::size_t written = 0;
  while (written < bytes.size()) {
    const ssize_t count = ::write(master_.number(), bytes.data() + written, bytes.size() - written);
    if (count > 0) {
      written += static_cast<std::size_t>(count);
      continue;
    }
    const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(
        until - std::chrono::steady_clock::now());
    if (count == 0 || errno != EAGAIN || left.count() <= 0) break;
    pollfd waited{master_.number(), POLLOUT, 0};
    (void)::poll(&waited, 1, static_cast<int>(left.count()));
  }
  return written;
}

}  // namespace moundwork::drivers
