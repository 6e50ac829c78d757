// SPDX-License-Identifier: GPL-3.0-or-later
#include <QCheckBox>
#include <QListWidget>
#include <QPushButton>
#include <QTableWidget>
#include <QTest>
#include <catch2/catch.hpp>

#include "app/desk/relate/relate_page.h"
#include "app/desk/relate/scatter_plot.h"
#include "app/desk/summaries/order.h"
#include "app/desk/summaries/summaries_page.h"
#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

/// A lab with two athletes' measured sessions.
void make_lab(const LabFolder& lab) {
  model::DaySettings settings;
  settings.athletes = 2;
  settings.performance.pitches = 8;
  settings.performance.activities = false;
  const auto made = model::simulate_day(settings, lab.sessions());
  REQUIRE(made);
  for (const SessionEntry& entry : list_sessions(lab)) {
    const auto reader = session::Reader::open(entry.path);
    REQUIRE(reader);
    const definitions::Settings analysis_settings;
    const auto analysis = pitch::analyse(*reader, analysis_settings);
    REQUIRE(analysis);
    REQUIRE(session::append_results(entry.path,
                                    pitch::to_results(*analysis, analysis_settings, iso_now())));
  }
}

}  // namespace

TEST_CASE("relations lead back to their throws, and summaries are made", "[slow]") {
  const support::Folder folder;
  Preferences preferences;
  preferences.lab = folder.path();
  DeskState state{preferences};
  REQUIRE(state.open_lab(folder.path()));
  make_lab(state.lab());
  const auto sessions = list_sessions(state.lab());
  REQUIRE(sessions.size() == 2);

  SECTION("without a widget: every row knows its throw; an excluded throw is no row") {
    const std::vector<std::filesystem::path> files{sessions[0].path, sessions[1].path};
    const auto results = session::read_results(sessions[0].path);
    REQUIRE(results);
    session::Edit out;
    out.throw_contact = seconds(results->throws.front().contact);
    out.action = "exclude";
    out.why = "stumbled";
    REQUIRE(session::append_edit(sessions[0].path, out));
    const auto answer = relate_sessions(files, {}, {});
    REQUIRE(answer);
    REQUIRE(answer->sources.size() == answer->pitches.rows.size());
    CHECK(answer->sources.size() == 15);
    for (std::size_t i = 0; i < answer->sources.size(); ++i) {
      const auto of = session::read_results(answer->sources[i].session);
      REQUIRE(of);
      double speed = 0.0;
      for (const auto& thrown : of->throws)
        if (thrown.number == answer->sources[i].number)
          for (const auto& value : thrown.quantities)
            if (value.key == "ball_speed") speed = value.measured.value;
      CHECK(speed == answer->pitches.rows[i].ball_speed.value);
    }
    CHECK_FALSE(relate_sessions(files, "nobody", {}));
  }

  SECTION("a point of the scatter opens its throw") {
    Jobs jobs;
    RelatePage page(state, jobs);
    page.resize(1300, 640);
    REQUIRE(state.open_session(sessions[0].path));
    page.show();
    auto* table = page.findChild<QTableWidget*>();
    REQUIRE(QTest::qWaitFor([&] { return table->rowCount() > 0; }, 60000));
    int wanted = -1;
    QObject::connect(&page, &Page::wants_page, &page, [&](int page_index) { wanted = page_index; });
    auto* scatter = page.findChild<ScatterPlot*>();
    state.show_throw(0);
    QTest::keyClick(scatter, Qt::Key_Right);
    QTest::keyClick(scatter, Qt::Key_Return);
    CHECK(wanted == 2);
    CHECK(state.shown_throw() > 0);
  }

  SECTION("pages and tables of the day") {
    Jobs jobs;
    SummariesPage page(state, jobs);
    page.resize(1300, 640);
    REQUIRE(state.open_session(sessions[0].path));
    page.show();
    for (QCheckBox* box : page.findChildren<QCheckBox*>()) box->setChecked(true);
    auto* made = page.findChild<QListWidget*>();
    for (QPushButton* button : page.findChildren<QPushButton*>()) button->click();
    REQUIRE(QTest::qWaitFor([&] { return made->count() > 0; }, 120000));
    for (int i = 0; i < made->count(); ++i) {
      const std::filesystem::path file = made->item(i)->data(Qt::UserRole).toString().toStdString();
      CHECK(std::filesystem::file_size(file) > 0);
      // Codes stand for names: no file is called after a person.
      CHECK(file.filename().string().find(sessions[0].athlete_name) == std::string::npos);
    }
  }

  SECTION("an order without sessions is refused in a sentence") {
    SummaryOrder order;
    order.lab.root = folder / "empty";
    const auto made = make_ordered(order, [](double) { return true; });
    REQUIRE_FALSE(made);
    CHECK(made.error().sentence().find("session") != std::string::npos);
  }
}
