// SPDX-License-Identifier: GPL-3.0-or-later
// The index that the window keeps up to date: the lab's own, and never of practice.
#include "app/desk/state/lab_index.h"

#include <QSqlQuery>
#include <QTest>
#include <catch2/catch.hpp>

#include "app/desk/jobs/analysis_job.h"
#include "core/model/day.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

std::filesystem::path made_session(const LabFolder& lab) {
  std::filesystem::create_directories(lab.sessions());
  model::SessionSettings settings;
  settings.performance.pitches = 1;
  settings.station.microphone = false;
  const auto path = lab.sessions() / "a.h5";
  if (const auto made = model::simulate_session(path, settings); !made)
    FAIL(made.error().sentence());
  return path;
}

void measure(const LabFolder& lab, const std::filesystem::path& session) {
  Jobs jobs;
  QObject owner;
  std::optional<Result<void>> measured;
  analyse_session(jobs, &owner, lab, session, [&](const Result<void>& done) { measured = done; });
  REQUIRE(QTest::qWaitFor([&] { return measured.has_value(); }, 60000));
  if (!*measured) FAIL(measured->error().sentence());
}

int sessions_in(const index::Index& index) {
  auto count = index::run(index.connection, QStringLiteral("SELECT count(*) FROM sessions"));
  REQUIRE(count);
  REQUIRE(count->next());
  return count->value(0).toInt();
}

}  // namespace

TEST_CASE("what is measured is entered in the lab's own index, and practice in none",
          "[desk][index]") {
  const support::Folder folder;
  const LabFolder real{folder / "lab"};
  const auto session = made_session(real);
  CHECK(index_of(real).empty());
  REQUIRE(keep_index(real, "index.sqlite"));
  CHECK(index_of(real) == "index.sqlite");
  CHECK(std::filesystem::exists(real.root / "index.sqlite"));
  measure(real, session);
  {
    const auto index = open_index_of(real);
    REQUIRE(index);
    REQUIRE(*index);
    CHECK(sessions_in(**index) == 1);
  }

  const LabFolder practice{folder / "lab practice"};
  const auto invented = made_session(practice);
  REQUIRE(keep_index(practice, "index.sqlite"));
  CHECK_FALSE(open_index_of(practice)->has_value());
  measure(practice, invented);
  measure(real, invented);  // open beside the real lab
  CHECK(sessions_in(**open_index_of(real)) == 1);

  CHECK_FALSE(keep_index(real, "http://example.test/lab"));
  CHECK(index_of(real) == "index.sqlite");  // nothing changed
  REQUIRE(keep_index(real, ""));
  CHECK(index_of(real).empty());
  CHECK(std::filesystem::exists(real.root / "index.sqlite"));  // the index itself stays
}
