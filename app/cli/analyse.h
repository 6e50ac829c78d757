// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace CLI {
class App;
}

namespace moundwork::cli {

/// `moundwork analyse`: finds and measures every throw of session files and stores the results
/// beside them. Sets `exit_code` when the command ran and failed.
void add_analyse(CLI::App& app, int& exit_code);

}  // namespace moundwork::cli
