// SPDX-License-Identifier: GPL-3.0-or-later
// Edits of the window: they count at once, are written apart, and are taken back where they went.
#include <QTableWidget>
#include <QTest>
#include <QUndoStack>
#include <catch2/catch.hpp>

#include "app/desk/edit_list.h"
#include "app/desk/state/desk_state.h"
#include "app/desk/state/edit_command.h"
#include "core/model/day.h"
#include "core/session/edit_list.h"
#include "core/session/edit_state.h"
#include "core/session/results.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

std::filesystem::path made_session(const std::filesystem::path& path) {
  model::SessionSettings settings;
  settings.performance.pitches = 1;
  settings.station.microphone = false;
  if (const auto made = model::simulate_session(path, settings); !made)
    FAIL(made.error().sentence());
  return path;
}

session::Edit cue(double contact, const std::string& text) {
  session::Edit edit;
  edit.throw_contact = contact;
  edit.action = session::Action::tag;
  edit.target = "cue";
  edit.text = text;
  return edit;
}

std::size_t rows_of(const std::filesystem::path& path) {
  const auto edits = session::read_edits(path);
  return edits ? edits->size() : 0;
}

std::string cue_of(const std::vector<session::Edit>& edits, double contact) {
  const auto tags = session::state_of(edits, contact).tags;
  const auto found = tags.find("cue");
  return found == tags.end() ? std::string() : found->second;
}

}  // namespace

TEST_CASE("the list of edits tells their time by the session's own clock", "[desk][edits]") {
  const support::Folder folder;
  model::SessionSettings settings;
  settings.performance.pitches = 1;
  settings.zone = "America/Los_Angeles";
  const auto path = folder / "a.h5";
  REQUIRE(model::simulate_session(path, settings));
  session::Edit edit = cue(10.0, "heel");
  edit.when = "2026-05-05T02:30:00.123Z";
  REQUIRE(session::append_edit(path, edit));
  DeskState state{Preferences{}};
  REQUIRE(state.open_session(path));
  const EditList list(state, nullptr);
  const auto* table = list.findChild<QTableWidget*>();
  REQUIRE(table != nullptr);
  REQUIRE(table->rowCount() == 1);
  CHECK(table->item(0, 3)->text().endsWith(QStringLiteral("2026-05-04 19:30:00")));
}

TEST_CASE("an edit counts at once, and is taken back where it went", "[desk][edits]") {
  const support::Folder folder;
  const auto path = made_session(folder / "a.h5");
  DeskState state{Preferences{}};
  REQUIRE(state.open_session(path));
  QUndoStack undo;
  const auto failed = [](const Error& error) { FAIL(error.sentence()); };

  undo.push(new EditCommand(state, cue(10.0, "heel"), QStringLiteral("cue"), failed));
  undo.push(new EditCommand(state, cue(10.0, "ground first"), QStringLiteral("cue"), failed));
  // Nothing was waited for.
  CHECK(cue_of(state.session()->edits(), 10.0) == "ground first");
  undo.undo();  // before it can have been written
  CHECK(cue_of(state.session()->edits(), 10.0) == "heel");
  REQUIRE(QTest::qWaitFor([&] { return rows_of(path) == 3; }));

  // Another program notes something between this window's edits.
  REQUIRE(session::append_edit(path, cue(20.0, "from elsewhere")));
  CHECK(session::read_edits(path)->size() == 4);
  undo.push(new EditCommand(state, cue(10.0, "stretch at landing"), QStringLiteral("cue"), failed));
  undo.undo();
  undo.redo();
  undo.undo();
  REQUIRE(QTest::qWaitFor([&] { return rows_of(path) == 8; }));
  const auto written = session::read_edits(path);
  REQUIRE(written);
  CHECK(cue_of(*written, 10.0) == "heel");
  CHECK(cue_of(*written, 20.0) == "from elsewhere");
  REQUIRE(QTest::qWaitFor([&] { return state.session()->edits().size() == 8; }));
  CHECK(cue_of(state.session()->edits(), 10.0) == "heel");
  CHECK(cue_of(state.session()->edits(), 20.0) == "from elsewhere");
  for (const session::Edit& edit : *written)
    CHECK((edit.text == "from elsewhere" || !edit.when.empty()));
}

TEST_CASE("an edit that cannot be written counts no more and is told of", "[desk][edits]") {
  const support::Folder folder;
  const auto path = made_session(folder / "a.h5");
  DeskState state{Preferences{}};
  REQUIRE(state.open_session(path));
  QString told;
  QObject::connect(&state, &DeskState::edit_failed, [&](const QString& words) { told = words; });
  // Longer than its place in the list.
  REQUIRE(state.add_edit(cue(10.0, std::string(1000, 'x'))));
  REQUIRE(state.add_edit(cue(10.0, "heel")));
  CHECK(state.session()->edits().size() == 2);
  REQUIRE(QTest::qWaitFor([&] { return !told.isEmpty() && rows_of(path) == 1; }));
  CHECK(told.contains(QStringLiteral("make it shorter")));
  REQUIRE(QTest::qWaitFor([&] { return state.session()->edits().size() == 1; }));
  CHECK(cue_of(state.session()->edits(), 10.0) == "heel");
}

TEST_CASE("what was handed over is written when the window goes", "[desk][edits]") {
  const support::Folder folder;
  const auto path = made_session(folder / "a.h5");
  {
    DeskState state{Preferences{}};
    REQUIRE(state.open_session(path));
    for (int i = 0; i < 5; ++i) REQUIRE(state.add_edit(cue(10.0, "cue " + std::to_string(i))));
  }
  const auto written = session::read_edits(path);
  REQUIRE(written);
  CHECK(written->size() == 5);
  CHECK(cue_of(*written, 10.0) == "cue 4");
}
