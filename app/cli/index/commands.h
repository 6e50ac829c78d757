// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace CLI {
class App;
}

/// The commands below `moundwork index`; each sets `exit_code` when it ran and failed.
namespace moundwork::cli {

void add_index_rebuild(CLI::App& index, int& exit_code);
void add_index_add(CLI::App& index, int& exit_code);
void add_index_list(CLI::App& index, int& exit_code);
void add_index_history(CLI::App& index, int& exit_code);
void add_index_group(CLI::App& index, int& exit_code);

}  // namespace moundwork::cli
