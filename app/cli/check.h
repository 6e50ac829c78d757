// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace CLI {
class App;
}

namespace moundwork::cli {

/// `moundwork check`: a station's checks before athletes come, on a pass/fail sheet.
void add_check(CLI::App& app, int& exit_code);

}  // namespace moundwork::cli
