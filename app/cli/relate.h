// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace CLI {
class App;
}

namespace moundwork::cli {

/// `moundwork relate`: what goes with ball speed. Sets `exit_code` when the command ran and failed.
void add_relate(CLI::App& app, int& exit_code);

}  // namespace moundwork::cli
