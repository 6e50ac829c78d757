// SPDX-License-Identifier: GPL-3.0-or-later
#include <QTest>
#include <catch2/catch.hpp>

#include "app/desk/capture/throw_list.h"
#include "app/desk/review/throw_picker.h"
#include "app/desk/state/desk_state.h"
#include "core/session/results.h"
#include "support/folder.h"
#include "support/lab_session.h"

using namespace moundwork;
using namespace moundwork::desk;

TEST_CASE("lists of throws say first what changes what can be concluded", "[desk]") {
  const support::Folder folder;
  const auto file = folder / "one.h5";
  support::make_measured_session(file, 1);
  auto results = session::read_results(file);
  REQUIRE(results);
  REQUIRE(results->throws.size() == 1);
  results->throws.front().flags = {{"assumed_air", "temperature or pressure were not noted"},
                                   {"estimated_foot_line", "from the foot's length"},
                                   {"heavier_than_stated", "the mass is wrong"}};
  REQUIRE(session::append_results(file, *results));

  ThrowList list;
  list.set_throws(results->throws);
  CHECK(list.data(list.index(0, ThrowList::remarks), Qt::DisplayRole)
            .toString()
            .startsWith(QStringLiteral("heavier than stated; ")));
  CHECK(list.data(list.index(0, ThrowList::remarks), Qt::ToolTipRole)
            .toString()
            .startsWith(QStringLiteral("the mass is wrong")));

  DeskState state{Preferences{}};
  ThrowPicker picker(state);
  REQUIRE(state.open_session(file));
  REQUIRE(picker.rowCount() == 1);
  CHECK(picker.item(0, 3)->text().startsWith(QStringLiteral("heavier than stated; ")));
  // What a person did to the throw does not hide it.
  session::Edit excluded;
  excluded.throw_contact = seconds(results->throws.front().contact);
  excluded.action = session::Action::exclude;
  excluded.why = "slipped";
  REQUIRE(state.add_edit(excluded));
  CHECK(picker.item(0, 3)->text().startsWith(QStringLiteral("excluded; heavier than stated")));
}
