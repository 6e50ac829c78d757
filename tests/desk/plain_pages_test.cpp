// SPDX-License-Identifier: GPL-3.0-or-later
// What pages say where there is nothing to show yet, where nobody is real, and where words are
// many.
#include <QApplication>
#include <QDialog>
#include <QDialogButtonBox>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QTest>
#include <QTimer>
#include <catch2/catch.hpp>

#include "app/desk/air_dialog.h"
#include "app/desk/prepare/prepare_page.h"
#include "app/desk/review/review_page.h"
#include "app/desk/review/trace_plot.h"
#include "app/desk/state/weigh_ins.h"
#include "app/desk/summaries/order.h"
#include "core/base/wall_time.h"
#include "core/summary/cover.h"
#include "support/folder.h"
#include "support/lab_session.h"

using namespace moundwork;
using namespace moundwork::desk;

TEST_CASE("Review without a session shows a sentence and no axes", "[desk]") {
  const support::Folder folder;
  support::make_measured_session(folder / "one.h5", 1);
  DeskState state{Preferences{}};
  Jobs jobs;
  ReviewPage page(state, jobs);
  page.resize(1200, 600);
  page.show();
  const auto* plot = page.findChild<TracePlot*>();
  REQUIRE(plot != nullptr);
  CHECK_FALSE(plot->isVisible());
  bool said = false;
  for (const QLabel* label : page.findChildren<QLabel*>())
    said = said ||
           (label->isVisible() && label->text().contains(QStringLiteral("No session is open")));
  CHECK(said);
  REQUIRE(state.open_session(folder / "one.h5"));
  CHECK(plot->isVisible());
}

TEST_CASE("pages of practice say that their athlete is invented", "[desk]") {
  const support::Folder folder;
  const LabFolder practice{folder / "lab practice"}, lab{folder / "lab"};
  for (const LabFolder& one : {practice, lab}) {
    std::filesystem::create_directories(one.sessions());
    support::make_measured_session(one.sessions() / "one.h5", 1);
  }
  const auto invented =
      preview_of(practice.sessions() / "one.h5", practice, SpeedUnit::metre_per_second, {});
  REQUIRE(invented);
  CHECK(invented->person.front().find("invented") != std::string::npos);
  const auto real = preview_of(lab.sessions() / "one.h5", lab, SpeedUnit::metre_per_second, {});
  REQUIRE(real);
  for (const std::string& item : real->person) CHECK(item.find("invented") == std::string::npos);
  CHECK(summary::cover_of({*invented}, {}, true, "test").title.find("invented") !=
        std::string::npos);
  CHECK(summary::cover_of({*real}, {}, true, "test").title.find("invented") == std::string::npos);
}

TEST_CASE("the air's dialog has room for what it refuses", "[desk]") {
  const support::Folder folder;
  DeskState state{Preferences{}};
  REQUIRE(state.open_lab(folder / "lab"));
  bool looked = false;
  QTimer::singleShot(0, qApp, [&] {
    auto* dialog = qobject_cast<QDialog*>(QApplication::activeModalWidget());
    REQUIRE(dialog != nullptr);
    dialog->findChild<QLineEdit*>()->setText(QStringLiteral("224,5"));
    dialog->findChild<QDialogButtonBox*>()->button(QDialogButtonBox::Ok)->click();
    QTest::qWait(50);
    int lines = 0;
    QRect before;
    for (const QLabel* label : dialog->findChildren<QLabel*>()) {
      if (!label->isVisible()) continue;
      CAPTURE(label->text().toStdString());
      CHECK(label->width() >= label->minimumSizeHint().width());
      if (label->wordWrap()) {
        CHECK(label->height() >= label->heightForWidth(label->width()));
        CHECK_FALSE(label->geometry().intersects(before));
        before = label->geometry();
        ++lines;
      }
    }
    CHECK(lines == 2);
    looked = true;
    dialog->reject();
  });
  CHECK(ask_air(state, nullptr));
  CHECK(looked);
}

TEST_CASE("the four parts of Prepare say all of their words", "[desk]") {
  const support::Folder folder;
  DeskState state{Preferences{}};
  Jobs jobs;
  REQUIRE(state.open_lab(folder / "lab"));
  RosterAthlete athlete;
  athlete.id = "A01";
  REQUIRE(state.set_roster({athlete}));
  state.choose_athlete("A01");
  weigh_in::WeighIn weighed;
  weighed.athlete = "A01";
  weighed.station = "s";
  weighed.made = iso_now();
  weighed.mass = {26.88, 0.10};
  REQUIRE(keep_weigh_in(state.lab(), weighed));
  PreparePage page(state, jobs);
  page.show();
  bool found = false;
  for (const QPushButton* part : page.findChildren<QPushButton*>())
    if (part->text().contains(QStringLiteral("Weigh-in")) && part->isCheckable()) {
      found = true;
      CHECK(part->text().simplified().endsWith(QStringLiteral("foot not known")));
      CHECK(part->sizeHint().width() <= part->width());
    }
  CHECK(found);
}
