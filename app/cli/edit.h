// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace CLI {
class App;
}

namespace moundwork::cli {

/// `moundwork edit`: adds to a session's list of edits, which the next analysis follows.
void add_edit(CLI::App& app, int& exit_code);

}  // namespace moundwork::cli
