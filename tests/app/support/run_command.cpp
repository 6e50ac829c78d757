// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/support/run_command.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>
#include <sstream>

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

namespace moundwork::test {
namespace {

class Redirected {
 public:
  Redirected(std::ostream& stream, std::ostringstream& to) : stream_(stream), old_(stream.rdbuf()) {
    stream.rdbuf(to.rdbuf());
  }
  ~Redirected() { stream_.rdbuf(old_); }
  Redirected(const Redirected&) = delete;
  Redirected& operator=(const Redirected&) = delete;

 private:
  std::ostream& stream_;
  std::streambuf* old_;
};

}  // namespace

CommandRun run_command(std::vector<std::string> arguments) {
  std::ostringstream out;
  std::ostringstream err;
  CommandRun run;
  {
    const Redirected own_out(std::cout, out);
    const Redirected own_err(std::cerr, err);
    CLI::App app;
    app.require_subcommand(1);
    cli::add_import(app, run.code);
    cli::add_analyse(app, run.code);
    cli::add_edit(app, run.code);
    cli::add_cue_order(app, run.code);
    cli::add_relate(app, run.code);
    cli::add_index(app, run.code);
    cli::add_forget(app, run.code);
    cli::add_lab(app, run.code);
    cli::add_export(app, run.code);
    cli::add_summarise(app, run.code);
    cli::add_simulate(app, run.code);
    cli::add_check(app, run.code);
    cli::add_weigh_in(app, run.code);
    cli::add_record(app, run.code);
    std::reverse(arguments.begin(), arguments.end());  // as CLI11 takes a vector
    try {
      app.parse(arguments);
    } catch (const CLI::ParseError& error) {
      run.code = app.exit(error);
    }
  }
  run.out = out.str();
  run.err = err.str();
  return run;
}

bool one_sentence(const std::string& text) {
  return text.size() > 2 && text.back() == '\n' && text.find('\n') == text.size() - 1 &&
         text[text.size() - 2] == '.';
}

}  // namespace moundwork::test
