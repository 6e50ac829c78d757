// SPDX-License-Identifier: GPL-3.0-or-later
#include <QCheckBox>
#include <QListWidget>
#include <QPushButton>
#include <QTableWidget>
#include <QTest>
#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <optional>
#include <set>

#include "app/desk/relate/relate_page.h"
#include "app/desk/relate/scatter_plot.h"
#include "app/desk/summaries/order.h"
#include "app/desk/summaries/summaries_page.h"
#include "core/base/wall_time.h"
#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/edit_list.h"
#include "core/session/fact.h"
#include "core/session/reader.h"
#include "core/session/results.h"
#include "core/session/retest.h"
#include "core/session/start.h"
#include "core/session/writer.h"
#include "core/summary/svg.h"
#include "support/folder.h"
#include "support/session_example.h"

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

std::set<std::filesystem::path> files_below(const std::filesystem::path& folder) {
  std::set<std::filesystem::path> files;
  std::error_code missing;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder, missing))
    if (entry.is_regular_file()) files.insert(entry.path());
  return files;
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
    out.action = session::Action::exclude;
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
    // One unit for the points, the axis and the sentences.
    const auto in_miles =
        relate_sessions(files, {}, {}, {}, {definitions::SpeedUnit::mile_per_hour});
    REQUIRE(in_miles);
    CHECK(in_miles->report.ball_speed.unit == "mph");
    CHECK(in_miles->pitches.rows[0].ball_speed.value ==
          Approx(answer->pitches.rows[0].ball_speed.value / 0.44704));
    for (std::size_t i = 0; i < in_miles->report.relations.size(); ++i) {
      const auto& said = in_miles->report.relations[i].says;
      CAPTURE(said);
      for (const char* foreign : {"m/s faster", "m/s slower", " rad ", "nan", "e-0", "e+0"})
        CHECK(said.find(foreign) == std::string::npos);
      // The words follow the numbers, and the unit changes neither.
      CHECK(in_miles->report.relations[i].within_verdict ==
            answer->report.relations[i].within_verdict);
    }
    REQUIRE_FALSE(in_miles->pitches.names.empty());
  }

  SECTION("a point of the scatter opens its throw") {
    Jobs jobs;
    RelatePage page(state, jobs);
    page.resize(1300, 640);
    REQUIRE(state.open_session(sessions[0].path));
    page.show();
    auto* table = page.findChild<QTableWidget*>();
    REQUIRE(QTest::qWaitFor([&] { return table->rowCount() > 0; }, 60000));
    std::optional<DayPage> wanted;
    QObject::connect(&page, &Page::wants_page, &page, [&](DayPage shown) { wanted = shown; });
    // Which throw each row is of, from the same question asked anew.
    const auto answer = relate_sessions({sessions[0].path, sessions[1].path},
                                        state.session()->session().athlete.id, {});
    REQUIRE(answer);
    auto* scatter = page.findChild<ScatterPlot*>();
    int row = -1;
    QObject::connect(scatter, &ScatterPlot::row_wanted, &page, [&](int asked) { row = asked; });
    for (int point = 0; point < 4; ++point) {
      CAPTURE(point);
      QTest::keyClick(scatter, Qt::Key_Right);
      QTest::keyClick(scatter, Qt::Key_Return);
      CHECK(wanted == DayPage::review);
      REQUIRE(row >= 0);
      const RowSource& source = answer->sources[static_cast<std::size_t>(row)];
      CHECK(state.session()->path() == source.session);
      CHECK(state.shown_throw() == source.number);
    }
  }

  SECTION("the open session is named a retest of another of its athlete, and no more") {
    const auto whose = session::Reader::open(sessions[0].path);
    REQUIRE(whose);
    const session::Athlete& athlete = whose->session().athlete;
    REQUIRE(session::append_edit(sessions[1].path,
                                 session::set_fact(session::Fact::athlete, athlete.id)));
    REQUIRE(session::append_edit(sessions[1].path,
                                 session::set_fact(session::Fact::born, athlete.born)));
    Jobs jobs;
    RelatePage page(state, jobs);
    page.resize(1300, 640);
    REQUIRE(state.open_session(sessions[0].path));
    page.show();
    auto* button = page.findChild<QPushButton*>();
    REQUIRE(button != nullptr);
    REQUIRE(QTest::qWaitFor([&] { return button->isEnabled(); }, 60000));
    const auto named = [&] {
      return session::retest_of(session::read_edits(sessions[0].path).value());
    };
    CHECK_FALSE(named());
    button->click();
    REQUIRE(QTest::qWaitFor([&] { return named().has_value(); }, 60000));
    CHECK(named() == session::Reader::open(sessions[1].path)->session().id);
    REQUIRE(QTest::qWaitFor([&] { return state.session()->settled(); }, 60000));
    CHECK(button->isEnabled());
    button->click();
    CHECK(QTest::qWaitFor([&] { return !named(); }, 60000));
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

  SECTION("a day is that of the sessions' own place, though UTC has another") {
    SummaryOrder order;
    order.lab.root = folder / "afternoon";
    std::filesystem::create_directories(order.lab.sessions());
    const auto put = [&](const char* name, const char* started) {
      session::Session session = support::example_session();
      session.id = name;
      session::set_start(session, from_iso_text(started).value(), "America/Los_Angeles");
      auto writer = session::Writer::create(order.lab.sessions() / name, session);
      REQUIRE(writer);
      REQUIRE(writer->close());
    };
    put("a.h5", "2026-07-04T23:30:00Z");
    put("b.h5", "2026-07-05T02:30:00Z");
    put("c.h5", "2026-07-05T18:00:00Z");
    order.session = order.lab.sessions() / "a.h5";
    order.scope = SummaryScope::this_day;
    const auto of_day = ordered_sessions(order);
    REQUIRE(of_day.size() == 2);
    CHECK(of_day[1].filename() == "b.h5");
  }

  SECTION("an order without sessions is refused in a sentence") {
    SummaryOrder order;
    order.lab.root = folder / "empty";
    const auto made = make_ordered(order, [](double) { return true; });
    REQUIRE_FALSE(made);
    CHECK(made.error().sentence().find("session") != std::string::npos);
  }

  SECTION("stopped after the second piece of many, nothing is made, and that is said") {
    SummaryOrder order;
    order.lab = state.lab();
    order.scope = SummaryScope::everything;
    order.tables = order.recordings = true;
    const auto before = files_below(order.lab.summaries());
    int told = 0;
    const auto made = make_ordered(order, [&](double) { return ++told < 2; });
    CHECK(told == 2);
    REQUIRE_FALSE(made);
    CHECK(files_below(order.lab.summaries()) == before);
    CHECK(order_words(made, true) ==
          "Stopped: nothing was made. Files of an earlier time stand as they were.");
  }

  SECTION("stopped amid the tables, the pages stand whole, and that is said") {
    SummaryOrder order;
    order.lab = state.lab();
    order.scope = SummaryScope::everything;
    order.tables = order.recordings = true;
    const auto made = make_ordered(order, [](double share) { return share < 0.9; });
    REQUIRE(made);
    CHECK(made->files.size() == 6);  // two athletes' pages and the cover, twice
    const auto there = files_below(order.lab.summaries());
    CHECK(there == std::set<std::filesystem::path>(made->files.begin(), made->files.end()));
    CHECK(order_words(made, true)
              .starts_with("Stopped: 6 files with pages were made; tables, "
                           "traces and C3D were not"));
    // And when stop comes too late, all is there, and that is said.
    const auto all = make_ordered(order, {});
    REQUIRE(all);
    CHECK(order_words(all, true) == "It was too late to stop: all " +
                                        std::to_string(all->files.size()) + " files were made.");
  }

  SECTION("a session that could not be summarised is named with those that were") {
    SummaryOrder order;
    order.lab = state.lab();
    order.scope = SummaryScope::everything;
    std::filesystem::remove(session::companion_path(sessions[0].path));
    const auto made = make_ordered(order, {});
    REQUIRE(made);
    REQUIRE(made->failed.size() == 1);
    const std::string words = order_words(made, false);
    CHECK(words.find("Sessions without a page: 1.") != std::string::npos);
    CHECK(words.find(sessions[0].path.filename().string()) != std::string::npos);
  }

  SECTION("the preview says of the others what the page says") {
    for (const summary::OthersAsked& asked :
         {summary::OthersAsked{}, summary::OthersAsked{.any_age = true, .within = {}}}) {
      SummaryOrder order;
      order.lab = state.lab();
      order.session = sessions[0].path;
      order.pdf = false;
      order.others = asked;
      const auto made = make_ordered(order, {});
      REQUIRE(made);
      REQUIRE(made->files.size() == 1);
      const auto preview = preview_of(order.session, order.lab, order.speed, asked);
      REQUIRE(preview);
      std::ifstream file(made->files.front());
      const std::string page{std::istreambuf_iterator<char>(file), {}};
      const std::string words = summary::escaped(preview->group_note);
      CAPTURE(words);
      CHECK(page.find(words) != std::string::npos);
    }
  }
}
