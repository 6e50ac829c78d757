// SPDX-License-Identifier: GPL-3.0-or-later
// Wiring only: each command lives in a file of its own.
#include <CLI/CLI.hpp>
#include <exception>
#include <iostream>

int main(int argc, char** argv) {
  CLI::App app{"Moundwork: force plates and radar for people who assess pitchers"};
  app.set_version_flag("--version", "Moundwork " MOUNDWORK_VERSION);
  app.require_subcommand(1);
  int exit_code = 0;
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error);
  } catch (const std::exception& error) {
    std::cerr << "moundwork: " << error.what() << '\n';
    return 1;
  }
  return exit_code;
}
