// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/index.h"

#include <CLI/CLI.hpp>

#include "app/cli/index/commands.h"

namespace moundwork::cli {

void add_index(CLI::App& app, int& exit_code) {
  CLI::App* index =
      app.add_subcommand("index", "The lab's index: athletes, sessions and results of all files");
  index->require_subcommand(1);
  add_index_rebuild(*index, exit_code);
  add_index_add(*index, exit_code);
  add_index_list(*index, exit_code);
  add_index_history(*index, exit_code);
  add_index_group(*index, exit_code);
}

}  // namespace moundwork::cli
