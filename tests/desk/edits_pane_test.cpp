// SPDX-License-Identifier: GPL-3.0-or-later
// The list of edits beside the pages.
#include <QAction>
#include <QApplication>
#include <QLabel>
#include <QLineEdit>
#include <QTableWidget>
#include <QTest>
#include <QUndoStack>
#include <algorithm>
#include <catch2/catch.hpp>

#include "app/desk/edit_list.h"
#include "app/desk/state/edit_command.h"
#include "app/desk/window.h"
#include "support/folder.h"
#include "support/lab_session.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

QAction& action(const Window& window, const QString& begin) {
  const auto actions = window.findChildren<QAction*>();
  const auto found = std::find_if(actions.begin(), actions.end(), [&](const QAction* one) {
    return one->text().remove(u'&').startsWith(begin);
  });
  REQUIRE(found != actions.end());
  return **found;
}

}  // namespace

TEST_CASE("the list of edits is read whole, takes no room from the screen, and is undone beside",
          "[desk][edits]") {
  const support::Folder folder;
  const auto file = folder / "one.h5";
  support::make_measured_session(file, 1);
  DeskState state{Preferences{}};
  Window window(state);
  window.resize(1280, 720);
  window.show();
  REQUIRE(state.open_lab(folder / "lab"));
  REQUIRE(state.open_session(file));
  session::Edit moved;
  moved.throw_contact = state.shown_contact();
  moved.action = session::Action::move_event;
  moved.target = "drive_start";
  moved.value = moved.throw_contact - 0.61234;
  moved.why = "placed by eye on the traces";
  auto* session_edits = window.page(DayPage::review).undo_stack();
  session_edits->push(
      new EditCommand(state, moved, QStringLiteral("move drive start"), [](const Error&) {}));
  action(window, QStringLiteral("Show the session's edits")).setChecked(true);

  const auto& pane = *window.findChild<EditList*>();
  const auto& table = *pane.findChild<QTableWidget*>();
  for (int i = 0; i < day_page_count; ++i) {
    window.go_to(static_cast<DayPage>(i));
    QTest::qWait(50);
    CAPTURE(i);
    CHECK(window.width() == 1280);
    CHECK(window.minimumSizeHint().width() <= 1280);
  }
  // Each word of the change is inside of its cell.
  const QTableWidgetItem& cell = *table.item(0, 2);
  CHECK(cell.text().contains(QStringLiteral("drive start to")));
  const QRect needed = table.fontMetrics().boundingRect(QRect(0, 0, table.columnWidth(2) - 8, 1000),
                                                        Qt::TextWordWrap, cell.text());
  CHECK(needed.height() <= table.rowHeight(0));
  CHECK(needed.width() <= table.columnWidth(2));

  window.go_to(DayPage::review);
  const auto* reason = window.findChild<QLineEdit*>(QStringLiteral("reason_to_exclude"));
  QTest::qWait(50);
  CHECK(reason->width() >= reason->fontMetrics().horizontalAdvance(reason->placeholderText()));

  // Beside a page without changes of its own it is the listed edits that are undone.
  for (const DayPage page : {DayPage::relate, DayPage::summaries}) {
    window.go_to(page);
    CHECK(action(window, QStringLiteral("Undo")).isEnabled());
  }
  window.go_to(DayPage::prepare);
  CHECK_FALSE(action(window, QStringLiteral("Undo")).isEnabled());
  const auto labels = pane.findChildren<QLabel*>();
  CHECK(std::any_of(labels.begin(), labels.end(), [](const QLabel* label) {
    return label->isVisible() && label->text().contains(QStringLiteral("Undo and Redo"));
  }));
  window.go_to(DayPage::relate);
  action(window, QStringLiteral("Undo")).trigger();
  CHECK(state.session()->edits().size() == 2);
  action(window, QStringLiteral("Show the session's edits")).setChecked(false);
  CHECK_FALSE(action(window, QStringLiteral("Undo")).isEnabled());
}
