// SPDX-License-Identifier: GPL-3.0-or-later
#include <CLI/CLI.hpp>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

#include "app/cli/export.h"
#include "app/desk/state/desk_state.h"
#include "app/desk/summaries/order.h"
#include "core/base/wall_time.h"
#include "core/model/day.h"
#include "core/output/pseudonym.h"
#include "core/pitch/analysis.h"
#include "core/session/reader.h"
#include "core/session/results.h"
#include "core/table/delimited.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

std::string first_athlete(const std::filesystem::path& table) {
  auto reader = table::DelimitedReader::open(table);
  REQUIRE(reader);
  const auto row = reader->next_text();
  REQUIRE(row);
  REQUIRE(*row);
  return (**row)[static_cast<std::size_t>(*reader->column("athlete"))];
}

}  // namespace

TEST_CASE("window and command line give one athlete one code", "[summaries]") {
  const support::Folder folder;
  // The account has a key of its own, which the lab's folder goes before.
  ::setenv("XDG_CONFIG_HOME", (folder / "account").c_str(), 1);
  REQUIRE(output::read_or_make_lab_key(folder / "account/moundwork/lab.key"));
  DeskState state({});
  REQUIRE(state.open_lab(folder / "lab"));
  REQUIRE(output::read_or_make_lab_key(folder / "lab/lab.key"));
  model::DaySettings settings;
  settings.athletes = 1;
  settings.performance.pitches = 2;
  settings.performance.activities = false;
  const auto day = model::simulate_day(settings, state.lab().sessions());
  REQUIRE(day);
  REQUIRE(day->sessions.size() == 1);
  const auto session = state.lab().sessions() / "athlete-01.h5";
  {
    const auto reader = session::Reader::open(session);
    REQUIRE(reader);
    const definitions::Settings analysis_settings;
    const auto analysis = pitch::analyse(*reader, analysis_settings);
    REQUIRE(analysis);
    REQUIRE(session::append_results(session,
                                    pitch::to_results(*analysis, analysis_settings, iso_now())));
  }

  SummaryOrder order;
  order.lab = state.lab();
  order.scope = SummaryScope::everything;
  order.pdf = order.html = false;
  order.tables = order.codes = true;
  const auto made = make_ordered(order, [](double) { return true; });
  INFO((made ? "" : made.error().sentence()));
  REQUIRE(made);

  CLI::App app;
  int exit_code = 0;
  cli::add_export(app, exit_code);
  app.parse("export " + session.string() + " --pseudonymous --out " + (folder / "out").string());
  REQUIRE(exit_code == 0);
  const std::string code = first_athlete(folder / "out/throws.csv");
  CHECK(code.starts_with("P-"));
  CHECK(code == first_athlete(state.lab().summaries() / "tables/throws.csv"));
  ::unsetenv("XDG_CONFIG_HOME");
}
