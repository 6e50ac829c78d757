// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/transport/descriptor.h"

#include <poll.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>
#include <utility>

namespace moundwork::drivers {

Descriptor::Descriptor(Descriptor&& other) noexcept : number_(std::exchange(other.number_, -1)) {}

Descriptor& Descriptor::operator=(Descriptor&& other) noexcept {
  if (this != &other) {
    reset();
    number_ = std::exchange(other.number_, -1);
  }
  return *this;
}

void Descriptor::reset() noexcept {
  if (number_ >= 0) ::close(number_);
  number_ = -1;
}

std::string system_message(int error) { return std::generic_category().message(error); }

Result<bool> wait_readable(int descriptor, std::chrono::milliseconds patience,
                           const std::string& where) {
  pollfd waited{descriptor, POLLIN, 0};
  const int ready = ::poll(&waited, 1, static_cast<int>(patience.count()));
  if (ready < 0) {
    // A signal ends the wait early; the caller comes again anyway.
    if (errno == EINTR) return false;
    return fail(where, "waiting for data failed (" + system_message(errno) + ")");
  }
  if (ready == 0) return false;
  if ((waited.revents & POLLIN) != 0) return true;
  return fail(where, "the device is gone", "plug it in again, the recording goes on");
}

Result<std::size_t> read_some(int descriptor, std::span<std::uint8_t> into,
                              std::chrono::milliseconds patience, const std::string& where) {
  const auto readable = wait_readable(descriptor, patience, where);
  if (!readable) return tl::make_unexpected(readable.error());
  if (!*readable) return 0;
  const ssize_t count = ::read(descriptor, into.data(), into.size());
  if (count > 0) return static_cast<std::size_t>(count);
  if (count < 0 && (errno == EAGAIN || errno == EINTR)) return 0;
  const std::string why = count == 0 ? "" : " (" + system_message(errno) + ")";
  return fail(where, "the device is gone" + why, "plug it in again, the recording goes on");
}

}  // namespace moundwork::drivers
