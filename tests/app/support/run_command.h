// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

namespace moundwork::test {

struct CommandRun {
  int code = 0;
  std::string out, err;
};

/// Runs `moundwork ARGUMENTS...` in this process, as main does, with its output kept.
[[nodiscard]] CommandRun run_command(std::vector<std::string> arguments);

/// Whether a text is one line that ends as a sentence does.
[[nodiscard]] bool one_sentence(const std::string& text);

}  // namespace moundwork::test
