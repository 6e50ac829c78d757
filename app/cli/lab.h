// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace CLI {
class App;
}

namespace moundwork::cli {

/// `moundwork lab`: what a lab has settled for all who work in its folder. Sets `exit_code` when
/// the command ran and failed.
void add_lab(CLI::App& app, int& exit_code);

}  // namespace moundwork::cli
