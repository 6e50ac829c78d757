// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <CLI/App.hpp>

namespace moundwork::cli {

/// `moundwork summarise`: a page for each athlete to take home, and a cover sheet for the lab.
void add_summarise(CLI::App& app, int& exit_code);

}  // namespace moundwork::cli
