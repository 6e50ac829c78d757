// SPDX-License-Identifier: GPL-3.0-or-later
// Wiring only: each command lives in a file of its own.
#include <sys/stat.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <csignal>
#include <exception>
#include <iostream>
#include <new>
#include <string>
#include <string_view>

#include "app/cli/analyse.h"
#include "app/cli/check.h"
#include "app/cli/cue_order.h"
#include "app/cli/edit.h"
#include "app/cli/export.h"
#include "app/cli/forget.h"
#include "app/cli/import.h"
#include "app/cli/index.h"
#include "app/cli/lab.h"
#include "app/cli/record.h"
#include "app/cli/relate.h"
#include "app/cli/simulate.h"
#include "app/cli/summarise.h"
#include "app/cli/weigh_in.h"
#include "core/base/standard_streams.h"
#include "core/base/working_files.h"

namespace {

void end_by(int signal) {
  moundwork::remove_working();
  // Whoever reads through a pipe that ended has seen enough; others are told.
  constexpr std::string_view told = "moundwork: ended before it was done; run it again.\n";
  if (signal != SIGPIPE) (void)!::write(STDERR_FILENO, told.data(), told.size());
  (void)std::signal(signal, SIG_DFL);
  (void)std::raise(signal);
}

// Leaves alone what a caller ignores, as nohup does.
void end_tidily() {
  for (const int signal : {SIGINT, SIGTERM, SIGHUP, SIGPIPE})
    if (std::signal(signal, end_by) == SIG_IGN) (void)std::signal(signal, SIG_IGN);
  // A file that grows over what this account may write then fails as on a full disk does.
  (void)std::signal(SIGXFSZ, SIG_IGN);
}

// Which words the program did not take, and where the right ones are told; in one line.
std::string words_not_taken(const CLI::App* app, const CLI::Error& error) {
  std::string command = app->get_name();
  for (auto chosen = app->get_subcommands(); !chosen.empty();
       chosen = chosen.front()->get_subcommands())
    command += ' ' + chosen.front()->get_name();
  return command + ": " + error.what() + "; see " + command + " --help.\n";
}

}  // namespace

int main(int argc, char** argv) {
  moundwork::hold_standard_streams();
  // For what libraries make on their own; our files say who may read them.
  (void)::umask(S_IRWXG | S_IRWXO);
  end_tidily();
  CLI::App app{"Moundwork: force plates and radar for people who assess pitchers"};
  app.name("moundwork");
  app.set_version_flag("--version", "Moundwork " MOUNDWORK_VERSION);
  app.require_subcommand(1);
  app.failure_message(words_not_taken);
  int exit_code = 0;
  moundwork::cli::add_check(app, exit_code);
  moundwork::cli::add_weigh_in(app, exit_code);
  moundwork::cli::add_record(app, exit_code);
  moundwork::cli::add_import(app, exit_code);
  moundwork::cli::add_analyse(app, exit_code);
  moundwork::cli::add_edit(app, exit_code);
  moundwork::cli::add_cue_order(app, exit_code);
  moundwork::cli::add_relate(app, exit_code);
  moundwork::cli::add_index(app, exit_code);
  moundwork::cli::add_lab(app, exit_code);
  moundwork::cli::add_forget(app, exit_code);
  moundwork::cli::add_export(app, exit_code);
  moundwork::cli::add_summarise(app, exit_code);
  moundwork::cli::add_simulate(app, exit_code);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error);
  } catch (const std::bad_alloc&) {
    std::cerr << "moundwork: there is not enough memory for this; close other programs.\n";
    return 1;
  } catch (const std::exception& error) {
    std::cerr << "moundwork: " << error.what() << '\n';
    return 1;
  }
  // A script that keeps what is printed must not take a part of it for the whole.
  if (!std::cout.flush()) {
    std::cerr << "moundwork: not all could be printed; see whether the disk is full.\n";
    return 1;
  }
  return exit_code;
}
