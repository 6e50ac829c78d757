// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/transport/stream.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <termios.h>
#include <unistd.h>

#include <cerrno>

namespace moundwork::drivers {

Result<void> StreamTransport::open() {
  Descriptor opened(::open(path_.c_str(), O_RDONLY | O_NOCTTY | O_NONBLOCK | O_CLOEXEC));
  if (!opened) {
    return fail(path_, "cannot be opened (" + system_message(errno) + ")",
                "check the path in the station file and that the device is on");
  }
  struct stat status {};
  if (::fstat(opened.number(), &status) != 0 ||
      !(S_ISCHR(status.st_mode) || S_ISFIFO(status.st_mode))) {
    return fail(path_, "is neither a terminal nor a FIFO",
                "use kind = \"replay\" for a file of captured bytes");
  }
  // Each byte goes to one reader, and two would have half of the samples each. Asked of a file
  // system that has no locks, it is not known whether there is another.
  if (::flock(opened.number(), LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK)
    return fail(path_, "is being read by another program", "end that one first");
  termios settings{};
  if (::tcgetattr(opened.number(), &settings) == 0) {
    // Or the line discipline would change carriage returns and swallow control bytes.
    ::cfmakeraw(&settings);
    if (::tcsetattr(opened.number(), TCSANOW, &settings) != 0)
      return fail(path_, "cannot be set to raw (" + system_message(errno) + ")");
    // Bytes that waited have no known arrival.
    (void)::tcflush(opened.number(), TCIFLUSH);
  }
  descriptor_ = std::move(opened);
  return {};
}

Result<std::size_t> StreamTransport::read(std::span<std::uint8_t> into,
                                          std::chrono::milliseconds patience) {
  return read_some(descriptor_.number(), into, patience, path_);
}

}  // namespace moundwork::drivers
