// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "core/base/progress.h"

namespace moundwork::cli {

/// One line on a terminal that says how far a long piece of work is; silent where standard error
/// is no terminal. Takes its line away at the end.
class ProgressLine {
 public:
  ProgressLine();
  ~ProgressLine();
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;
  /// `share` from 0 to 1. Writes at most once a percent.
  void show(double share, const std::string& what);
  /// For a work that is called `what`; goes on always, since Ctrl-C ends the program.
  [[nodiscard]] Progress of(std::string what);

 private:
  bool terminal_ = false;
  int last_ = -1;
};

}  // namespace moundwork::cli
