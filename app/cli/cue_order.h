// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace CLI {
class App;
}

namespace moundwork::cli {

/// `moundwork cue-order`: draws by chance which throws get which cue and which none.
void add_cue_order(CLI::App& app, int& exit_code);

}  // namespace moundwork::cli
