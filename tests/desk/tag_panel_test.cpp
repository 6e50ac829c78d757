// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/tag_panel.h"

#include <QComboBox>
#include <QLabel>
#include <QLineEdit>
#include <QSignalSpy>
#include <QTest>
#include <algorithm>
#include <catch2/catch.hpp>

#include "app/desk/capture/throw_tags.h"
#include "core/session/throw_fields.h"

using namespace moundwork;
using namespace moundwork::desk;

TEST_CASE("a reason that is being written stays, bound to its throw, until Enter or Esc",
          "[desk]") {
  TagPanel panel;
  panel.show();
  double left_out = 0.0;
  QString reason;
  QObject::connect(&panel, &TagPanel::exclude_chosen, [&](double contact, const std::string& why) {
    left_out = contact;
    reason = QString::fromStdString(why);
  });
  panel.show_state(4, 81.5, {}, session::Hand::right);
  panel.exclude_key();
  REQUIRE(panel.deciding());
  auto* line = panel.findChild<QComboBox*>()->lineEdit();
  QTest::keyClicks(line, QStringLiteral("foot besi"));
  // Throw 5 comes while 4 stays in view; somebody thinks longer than a word takes.
  panel.show_state(4, 81.5, {}, session::Hand::right);
  QTest::qWait(11000);
  REQUIRE(panel.deciding());
  const auto labels = panel.findChildren<QLabel*>();
  CHECK(std::any_of(labels.begin(), labels.end(), [](const QLabel* label) {
    return label->isVisible() && label->text().contains(QStringLiteral("Throw 4"));
  }));
  QTest::keyClicks(line, QStringLiteral("de the plate"));
  QTest::keyClick(line, Qt::Key_Return);
  CHECK_FALSE(panel.deciding());
  CHECK(left_out == 81.5);
  CHECK(reason == QStringLiteral("foot beside the plate"));

  panel.exclude_key();
  REQUIRE(panel.deciding());
  panel.stop_deciding();
  CHECK_FALSE(panel.deciding());

  // Whoever looks at another throw acts on that one.
  panel.exclude_key();
  panel.show_state(5, 102.0, {}, session::Hand::right);
  CHECK_FALSE(panel.deciding());
}

TEST_CASE("warm-up, stretch and effort are noted by one key each, as the program reads them",
          "[desk]") {
  TagPanel panel;
  std::string tag, text;
  QObject::connect(&panel, &TagPanel::tag_chosen,
                   [&](const std::string& of, const std::string& is) {
                     tag = of;
                     text = is;
                   });
  session::EditState state;
  panel.warm_up_key();
  CHECK(tag.empty());  // no throw yet
  const auto press = [&](void (TagPanel::*key)()) {
    panel.show_state(4, 81.5, state, session::Hand::right);
    (panel.*key)();
    if (text.empty())
      state.tags.erase(tag);
    else
      state.tags[tag] = text;
  };
  press(&TagPanel::warm_up_key);
  press(&TagPanel::stretch_key);
  press(&TagPanel::effort_key);
  press(&TagPanel::effort_key);
  const session::ThrowFields fields = session::fields_of(state.tags);
  CHECK(fields.warm_up);
  CHECK(fields.delivery == "stretch");
  CHECK(fields.effort == Approx(0.9));
  CHECK(tag_words(state) == QStringLiteral("from the stretch; effort 90%; warm-up"));
  press(&TagPanel::warm_up_key);
  press(&TagPanel::stretch_key);
  for (int again = 0; again < 5; ++again) press(&TagPanel::effort_key);
  CHECK(state.tags.empty());
}
