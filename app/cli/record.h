// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace CLI {
class App;
}

namespace moundwork::cli {

/// `moundwork record`: captures a session from a station's instruments, throws shown as they come.
void add_record(CLI::App& app, int& exit_code);

}  // namespace moundwork::cli
