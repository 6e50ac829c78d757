// SPDX-License-Identifier: GPL-3.0-or-later
// The whole window through a day, as a lab walks it: a roster, a recording from virtual
// instruments, an event moved, relations, pages.
#include <QAbstractButton>
#include <QApplication>
#include <QListWidget>
#include <QMenuBar>
#include <QPushButton>
#include <QTest>
#include <catch2/catch.hpp>
#include <fstream>

#include "app/desk/capture/throw_list.h"
#include "app/desk/capture/throw_page.h"
#include "app/desk/edit_list.h"
#include "app/desk/prepare/prepare_page.h"
#include "app/desk/prepare/roster_import.h"
#include "app/desk/review/trace_plot.h"
#include "app/desk/window.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

void key(QWidget& widget, const QString& sequence) {
  QTest::keySequence(&widget, QKeySequence(sequence));
}

template <class Part>
Part& part(Window& window, DayPage page) {
  auto* found = window.page(page).findChild<Part*>();
  REQUIRE(found != nullptr);
  return *found;
}

}  // namespace

TEST_CASE("a day from the roster to the athlete's page, in one window", "[day]") {
  const support::Folder folder;
  Preferences preferences;
  preferences.person = QStringLiteral("coach");
  DeskState state{preferences};
  Window window(state);
  window.show();
  window.activateWindow();
  REQUIRE(QTest::qWaitForWindowActive(&window));
  REQUIRE(state.open_lab(folder / "lab"));

  // Prepare: a list from a spreadsheet.
  std::ofstream(folder / "list.csv") << "id;name;born;throws;height (cm);mass (kg);consent\n"
                                        "A1;Eskil Emberlane;2001-03-04;left;188;92,5;2026-05-01\n";
  const auto list = read_roster_import(folder / "list.csv", state.roster(), "2026-05-04");
  REQUIRE(list);
  REQUIRE(state.change_roster(changes_of(*list, state.roster())));
  REQUIRE(state.roster().size() == 1);
  CHECK(state.roster().front().height == Approx(1.88));

  // Throw: practice from the menu's key, recorded until the first throw shows.
  key(window, QStringLiteral("Ctrl+Shift+P"));
  auto& throwing = dynamic_cast<ThrowPage&>(window.page(DayPage::throws));
  REQUIRE(QTest::qWaitFor([&] { return throwing.throws().rowCount() >= 1; }, 90000));
  CHECK(window.shown_page() == DayPage::throws);
  window.close();  // a recording is not left by closing the window
  CHECK(window.isVisible());
  key(window, QStringLiteral("F9"));
  REQUIRE(QTest::qWaitFor(
      [&] {
        return throwing.day().phase() == LiveDay::Phase::idle && window.jobs().running().empty();
      },
      90000));
  REQUIRE(state.session() != nullptr);
  REQUIRE_FALSE(state.session()->results().throws.empty());
  const std::size_t edits_before = state.session()->edits().size();

  // Review: an event moved by keys, taken back through the menu's key.
  key(window, QStringLiteral("Ctrl+3"));
  REQUIRE(window.shown_page() == DayPage::review);
  auto& plot = part<TracePlot>(window, DayPage::review);
  REQUIRE(QTest::qWaitFor([&] { return !plot.markers().empty(); }, 60000));
  plot.setFocus();
  QTest::keyClick(&plot, Qt::Key_BracketRight);
  REQUIRE(plot.chosen_marker());
  QTest::keyClick(&plot, Qt::Key_Right);
  CHECK(state.session()->edits().size() == edits_before + 1);
  key(window, QStringLiteral("Ctrl+Z"));
  CHECK(state.session()->edits().size() == edits_before + 2);
  // Everything written is seen in the list of edits.
  const auto* seen = window.findChild<EditList*>();
  REQUIRE(seen != nullptr);
  CHECK(seen->findChild<QTableWidget*>()->rowCount() ==
        static_cast<int>(state.session()->edits().size()));
  REQUIRE(QTest::qWaitFor([&] { return window.jobs().running().empty(); }, 60000));

  // Relate: too little to relate, said in words rather than numbers.
  key(window, QStringLiteral("Ctrl+4"));
  REQUIRE(window.shown_page() == DayPage::relate);
  REQUIRE(QTest::qWaitFor([&] { return window.jobs().running().empty(); }, 60000));

  // Summaries: the page for paper and browser.
  key(window, QStringLiteral("Ctrl+5"));
  REQUIRE(window.shown_page() == DayPage::summaries);
  REQUIRE(QTest::qWaitFor([&] { return window.jobs().running().empty(); }, 60000));
  auto& made = part<QListWidget>(window, DayPage::summaries);
  for (QPushButton* button : window.page(DayPage::summaries).findChildren<QPushButton*>())
    if (button->text().contains(QStringLiteral("ake them"))) button->click();
  REQUIRE(QTest::qWaitFor([&] { return made.count() == 2; }, 60000));
  for (int i = 0; i < made.count(); ++i)
    CHECK(std::filesystem::exists(made.item(i)->data(Qt::UserRole).toString().toStdString()));

  CHECK(load_preferences().last_session == state.session()->path());
}

TEST_CASE("every action of the menus has words, and every page is reached by a key", "[day]") {
  const support::Folder folder;
  DeskState state{Preferences{}};
  Window window(state);
  window.show();
  window.activateWindow();
  REQUIRE(QTest::qWaitForWindowActive(&window));
  for (const QAction* menu : window.menuBar()->actions()) {
    CHECK_FALSE(menu->text().isEmpty());
    for (const QAction* action : menu->menu()->actions())
      CHECK((action->isSeparator() || !action->text().isEmpty()));
  }
  for (int number = 0; number < day_page_count; ++number) {
    const auto page = static_cast<DayPage>(number);
    key(window, QStringLiteral("Ctrl+%1").arg(number + 1));
    CHECK(window.shown_page() == page);
    CHECK_FALSE(window.page(page).hint().isEmpty());
    // What can be pressed says what it does, also to a screen reader.
    for (const QAbstractButton* button : window.page(page).findChildren<QAbstractButton*>())
      if (button->focusPolicy() != Qt::NoFocus)
        CHECK((!button->text().isEmpty() || !button->accessibleName().isEmpty()));
  }
}
