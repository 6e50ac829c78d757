// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/marks_panel.h"

#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QTest>
#include <algorithm>
#include <catch2/catch.hpp>

#include "app/desk/state/preferences.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

template <class Part>
Part* named(const MarksPanel& panel, const char* name) {
  const auto parts = panel.findChildren<Part*>();
  const auto found = std::find_if(parts.begin(), parts.end(), [&](const Part* part) {
    return part->accessibleName() == QLatin1String(name);
  });
  REQUIRE(found != parts.end());
  return *found;
}

QString said(const MarksPanel& panel) {
  for (const QLabel* label : panel.findChildren<QLabel*>())
    if (label->text().contains(QStringLiteral("from landing"))) return label->text();
  return {};
}

}  // namespace

TEST_CASE("a moment is early or late by limits that somebody set, and by no others", "[desk]") {
  settings_file().remove(QStringLiteral("wanted"));
  const marks::BodyMark mark = marks::BodyMark::chest_facing_plate;
  // 10 frames of 240 a second after the landing: 41.7 ms.
  const std::vector<marks::FrameMark> given{{mark, 110.0, 100.0, 240.0}};
  MarksPanel panel;
  panel.show_marks(given);
  CHECK(said(panel).endsWith(QStringLiteral("from landing")));

  auto* from = named<QLineEdit>(panel, "chest facing home: wanted from, ms");
  auto* to = named<QLineEdit>(panel, "chest facing home: wanted to, ms");
  QTest::keyClicks(from, QStringLiteral("60"));
  CHECK(said(panel).endsWith(QStringLiteral("from landing")));
  QTest::keyClicks(to, QStringLiteral("120"));
  CHECK(said(panel).endsWith(QStringLiteral("from landing: early")));
  {
    // At the next start too, and for this moment alone.
    MarksPanel next;
    next.show_marks(given);
    CHECK(said(next).endsWith(QStringLiteral("early")));
    next.show_marks({{marks::BodyMark::release, 110.0, 100.0, 240.0}});
    CHECK(said(next).endsWith(QStringLiteral("from landing")));
  }
  from->selectAll();
  QTest::keyClick(from, Qt::Key_Delete);
  CHECK(said(panel).endsWith(QStringLiteral("from landing")));
  CHECK_FALSE(load_wanted_times()[static_cast<std::size_t>(mark)]);
}

TEST_CASE("only a mark that is there can be removed", "[desk]") {
  MarksPanel panel;
  panel.show_marks({{marks::BodyMark::chest_facing_plate, 110.0, 100.0, 240.0}});
  CHECK(named<QPushButton>(panel, "Remove chest facing home")->isEnabled());
  CHECK_FALSE(named<QPushButton>(panel, "Remove release")->isEnabled());
  panel.show_marks({});
  CHECK_FALSE(named<QPushButton>(panel, "Remove chest facing home")->isEnabled());
}
