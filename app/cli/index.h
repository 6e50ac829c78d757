// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace CLI {
class App;
}

namespace moundwork::cli {

/// `moundwork index`: the lab's index over its session files. Sets `exit_code` when the command ran
/// and failed.
void add_index(CLI::App& app, int& exit_code);

}  // namespace moundwork::cli
