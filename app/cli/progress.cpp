// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/progress.h"

#include <fmt/format.h>
#include <unistd.h>

#include <cstdio>
#include <utility>

namespace moundwork::cli {

ProgressLine::ProgressLine() : terminal_(isatty(STDERR_FILENO) != 0) {}

ProgressLine::~ProgressLine() {
  if (terminal_ && last_ >= 0) std::fputs("\r\033[K", stderr);
}

void ProgressLine::show(double share, const std::string& what) {
  const int percent = static_cast<int>(100.0 * share);
  if (!terminal_ || percent == last_) return;
  last_ = percent;
  std::fputs(fmt::format("\r{:3d} %  {}\033[K", percent, what).c_str(), stderr);
  std::fflush(stderr);
}

Progress ProgressLine::of(std::string what) {
  return [this, what = std::move(what)](double share) {
    show(share, what);
    return true;
  };
}

}  // namespace moundwork::cli
