// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/virtual/port.h"

#include <fcntl.h>
#include <poll.h>
#include <stdlib.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>

namespace moundwork::drivers {

Result<VirtualPort> VirtualPort::open(std::filesystem::path link) {
  const std::string where = "virtual port " + link.string();
  Descriptor master(::posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC));
  std::array<char, 128> name{};
  if (!master || ::grantpt(master.number()) != 0 || ::unlockpt(master.number()) != 0 ||
      ::ptsname_r(master.number(), name.data(), name.size()) != 0)
    return fail(where, "no pseudo-terminal is free (" + system_message(errno) + ")");
  // Only after the other end was open once does the kernel tell that nobody has it open.
  { const Descriptor once(::open(name.data(), O_RDONLY | O_NOCTTY | O_NONBLOCK | O_CLOEXEC)); }
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

bool VirtualPort::push() {
  pollfd state{master_.number(), POLLOUT, 0};
  (void)::poll(&state, 1, 0);
  if ((state.revents & POLLHUP) != 0) {
    waiting_.clear();
    sent_ = 0;
    return false;
  }
  while (sent_ < waiting_.size()) {
    const ssize_t count =
        ::write(master_.number(), waiting_.data() + sent_, waiting_.size() - sent_);
    if (count <= 0) break;
    sent_ += static_cast<std::size_t>(count);
  }
  // What was sent goes once it is most of the buffer, so that little is moved.
  if (2 * sent_ >= waiting_.size()) {
    waiting_.erase(waiting_.begin(), waiting_.begin() + static_cast<std::ptrdiff_t>(sent_));
    sent_ = 0;
  }
  return true;
}

std::size_t VirtualPort::write(Bytes bytes) {
  if (!push()) return 0;
  const std::size_t taken = std::min(bytes.size(), room - std::min(room, waiting()));
  waiting_.insert(waiting_.end(), bytes.begin(),
                  bytes.begin() + static_cast<std::ptrdiff_t>(taken));
  return push() ? taken : 0;
}

std::size_t VirtualPort::write(Bytes bytes, std::chrono::milliseconds patience) {
  const auto until = std::chrono::steady_clock::now() + patience;
  const std::size_t taken = write(bytes);
  while (waiting() > 0 && std::chrono::steady_clock::now() < until) {
    pollfd room_to_come{master_.number(), POLLOUT, 0};
    (void)::poll(&room_to_come, 1, 5);
    if (!push()) return 0;
  }
  return taken;
}

}  // namespace moundwork::drivers
