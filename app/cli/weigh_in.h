// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace CLI {
class App;
}

namespace moundwork::cli {

/// Adds `moundwork weigh-in`. Its exit code lands in `exit_code`.
void add_weigh_in(CLI::App& app, int& exit_code);

}  // namespace moundwork::cli
