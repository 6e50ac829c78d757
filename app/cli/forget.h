// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace CLI {
class App;
}

namespace moundwork::cli {

/// `moundwork forget ATHLETE`: deletes an athlete's files and rows, after showing them. Sets
/// `exit_code`: 0 all that was listed is gone, 1 nothing was deleted, 2 some of it is left.
void add_forget(CLI::App& app, int& exit_code);

}  // namespace moundwork::cli
