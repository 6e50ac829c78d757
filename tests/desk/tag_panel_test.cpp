// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/tag_panel.h"

#include <QComboBox>
#include <QLabel>
#include <QLineEdit>
#include <QSignalSpy>
#include <QTest>
#include <algorithm>
#include <catch2/catch.hpp>

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
