// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace CLI {
class App;
}

namespace moundwork::cli {

/// `moundwork export`: tables and recordings for other programs. Sets the exit code to 1 after an
/// error, told in one sentence on standard error; nothing is then written.
void add_export(CLI::App& app, int& exit_code);

}  // namespace moundwork::cli
