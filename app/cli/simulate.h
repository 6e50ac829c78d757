// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <CLI/CLI.hpp>

namespace moundwork::cli {

/// `moundwork simulate`: session files of an invented lab, with the true values beside them.
void add_simulate(CLI::App& app, int& exit_code);

}  // namespace moundwork::cli
