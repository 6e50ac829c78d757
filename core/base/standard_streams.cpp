// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/standard_streams.h"

#include <fcntl.h>
#include <unistd.h>

namespace moundwork {

void hold_standard_streams() {
  // To read only, so that printing still fails and is told by the exit code.
  int opened = 0;
  while (opened >= 0 && opened <= STDERR_FILENO) opened = ::open("/dev/null", O_RDONLY | O_CLOEXEC);
  if (opened > STDERR_FILENO) ::close(opened);
}

}  // namespace moundwork
