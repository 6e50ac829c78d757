// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace CLI {
class App;
}

namespace moundwork::cli {

/// `moundwork import`: a recording that others made becomes a session file. Sets `exit_code` when
/// the command ran and failed.
void add_import(CLI::App& app, int& exit_code);

}  // namespace moundwork::cli
