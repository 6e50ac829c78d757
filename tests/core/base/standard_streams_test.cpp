// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/standard_streams.h"

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>

TEST_CASE("no file takes the place of a standard stream that the caller closed", "[base]") {
  for (const int closed : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
    const pid_t child = fork();
    REQUIRE(child >= 0);
    if (child == 0) {
      ::close(closed);
      moundwork::hold_standard_streams();
      const bool kept = ::open("/dev/zero", O_RDWR | O_CLOEXEC) > STDERR_FILENO;
      _exit(kept && ::write(closed, "x", 1) < 0 ? 0 : 1);
    }
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    CHECK((WIFEXITED(status) && WEXITSTATUS(status) == 0));
  }
}
