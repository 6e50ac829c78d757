// SPDX-License-Identifier: GPL-3.0-or-later
// What people are called is shown letter by letter, wherever it stands.
#include <QLabel>
#include <QTableWidget>
#include <QTest>
#include <QToolTip>
#include <catch2/catch.hpp>

#include "app/desk/capture/lamps_line.h"
#include "app/desk/look/plain_tips.h"
#include "app/desk/page/notice.h"
#include "app/desk/window.h"
#include "desk/support/lab_session.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

const char* const hostile = "<img src='x'><h1>Q</h1>";

}  // namespace

TEST_CASE("a name that looks like markup is a name on every page", "[plain-words]") {
  const support::Folder folder;
  DeskState state{Preferences{}};
  REQUIRE(state.open_lab(folder / "lab"));
  RosterAthlete athlete;
  athlete.id = hostile;
  athlete.name = hostile;
  athlete.notes = hostile;
  athlete.mass = 80.0;
  REQUIRE(state.set_roster({athlete}));
  Window window(state);
  window.resize(1366, 768);
  window.show();
  state.choose_athlete(hostile);
  window.open(folder / hostile);  // is not there: a remark with the name in it
  int with_name = 0;
  for (int i = 0; i < day_page_count; ++i) {
    window.go_to(static_cast<DayPage>(i));
    QTest::qWait(50);
    for (const QLabel* label : window.findChildren<QLabel*>()) {
      CAPTURE(label->text().toStdString());
      if (qobject_cast<const LampsLine*>(label) != nullptr) continue;  // escapes what it shows
      if (Qt::mightBeRichText(label->text())) {
        ++with_name;
        CHECK(label->textFormat() == Qt::PlainText);
      }
    }
    REQUIRE(QTest::qWaitFor([&] { return window.jobs().running().empty(); }, 30000));
  }
  CHECK(with_name >= day_page_count);  // the heading, at least
}

TEST_CASE("lamps name a device letter by letter", "[plain-words]") {
  LampsLine line;
  DeviceLamp lamp;
  lamp.name = QString::fromLatin1(hostile);
  lamp.words = QString::fromLatin1(hostile);
  line.show_lamps({lamp}, QString::fromLatin1(hostile), make_look(Theme::light));
  CHECK_FALSE(line.text().contains(QStringLiteral("<h1>")));
  CHECK_FALSE(line.text().contains(QStringLiteral("<img")));
}

TEST_CASE("tool tips are plain, of widgets and of cells", "[plain-words]") {
  CHECK(plain_tip(QStringLiteral("a < b")) == QStringLiteral("a < b"));
  const QString tip = plain_tip(QString::fromLatin1(hostile));
  CHECK_FALSE(tip.contains(QStringLiteral("<img")));
  CHECK(tip.contains(QStringLiteral("&lt;img")));

  PlainTips tips;
  QTableWidget table(1, 1);
  table.setItem(0, 0, new QTableWidgetItem(QStringLiteral("cell")));
  table.item(0, 0)->setToolTip(QString::fromLatin1(hostile));
  table.resize(300, 200);
  table.show();
  QLabel label(QStringLiteral("label"));
  label.setToolTip(QString::fromLatin1(hostile));
  label.show();
  for (QWidget* widget : {table.viewport(), static_cast<QWidget*>(&label)}) {
    QToolTip::hideText();
    widget->installEventFilter(&tips);
    const QPoint at(4, 4);
    QHelpEvent help(QEvent::ToolTip, at, widget->mapToGlobal(at));
    QCoreApplication::sendEvent(widget, &help);
    CHECK(QToolTip::text() == tip);
    widget->removeEventFilter(&tips);
  }
}
