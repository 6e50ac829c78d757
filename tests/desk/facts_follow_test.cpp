// SPDX-License-Identifier: GPL-3.0-or-later
#include <QSignalSpy>
#include <QTest>
#include <catch2/catch.hpp>
#include <cmath>

#include "app/desk/capture/throw_page.h"
#include "app/desk/jobs/analysis_job.h"
#include "app/desk/review/numbers_panel.h"
#include "app/desk/review/review_page.h"
#include "app/desk/state/desk_state.h"
#include "app/desk/state/words.h"
#include "core/pitch/session_throws.h"
#include "core/session/edit_list.h"
#include "core/session/edit_state.h"
#include "core/session/fact.h"
#include "core/session/reader.h"
#include "support/folder.h"
#include "support/lab_session.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

template <class Condition>
bool wait_for(Condition condition, int longest_ms = 60000) {
  return QTest::qWaitFor(condition, longest_ms);
}

session::Edit mass_of(double kg) {
  session::Edit edit = session::set_fact(session::Fact::mass, Measured{kg, 0.1});
  edit.who = "A. Coach";
  edit.why = "typed wrongly";
  return edit;
}

/// As the numbers' table of Review shows it now; empty where it shows none.
QString shown(const ReviewPage& page, definitions::Quantity quantity) {
  const auto* numbers = page.findChild<NumbersPanel*>();
  return numbers->item(static_cast<int>(quantity), 2)->text();
}

/// The same of a throw that is read from the file anew.
QString fresh(const std::filesystem::path& file, std::size_t index,
              definitions::Quantity quantity) {
  const auto reader = session::Reader::open(file);
  REQUIRE(reader);
  const auto throws = pitch::SessionThrows::find(*reader, {});
  REQUIRE(throws);
  const auto thrown = throws->take(index);
  REQUIRE(thrown);
  const definitions::Entry& entry = definitions::entry(quantity);
  return quantity_text(std::string(entry.key), std::string(entry.unit),
                       thrown->measure(pitch::MovedEvents{}).measured(quantity), Preferences{},
                       reader->session().athlete.mass.value);
}

}  // namespace

TEST_CASE("a mass put right is in every number of Review, and none of the old one stays",
          "[desk]") {
  const support::Folder folder;
  const auto file = folder / "one.h5";
  support::make_measured_session(file, 2);
  DeskState state{Preferences{}};
  Jobs jobs;
  ReviewPage page(state, jobs);
  page.resize(1300, 640);
  page.show();
  REQUIRE(state.open_session(file));
  state.show_throw(1);
  constexpr auto impulse = definitions::Quantity::drive_impulse_per_mass;
  REQUIRE(wait_for([&] { return !shown(page, impulse).isEmpty(); }));
  const QString before = shown(page, impulse);

  const double stated = state.session()->session().athlete.mass.value;
  REQUIRE(state.add_edit(mass_of(0.8 * stated)));
  // Until it is read again there is none.
  CHECK(shown(page, impulse).isEmpty());
  REQUIRE(wait_for([&] { return !shown(page, impulse).isEmpty(); }));
  CHECK(shown(page, impulse) != before);
  CHECK(shown(page, impulse) == fresh(file, 0, impulse));
  // And the list follows by itself.
  REQUIRE(wait_for([&] {
    return session::facts_in(state.session()->results(), state.session()->edits()) &&
           state.session()->results().edits_known == 1;
  }));
  CHECK(shown(page, impulse) == fresh(file, 0, impulse));
}

TEST_CASE("a session whose facts were put right elsewhere is measured when it is opened",
          "[desk]") {
  const support::Folder folder;
  const auto file = folder / "one.h5";
  support::make_measured_session(file, 1);
  REQUIRE(session::append_edit(file, mass_of(60.0)));
  DeskState state{Preferences{}};
  Jobs jobs;
  ReviewPage page(state, jobs);
  REQUIRE(state.open_session(file));
  CHECK_FALSE(session::facts_in(state.session()->results(), state.session()->edits()));
  CHECK(wait_for(
      [&] { return session::facts_in(state.session()->results(), state.session()->edits()); }));
}

TEST_CASE("what another window does in a session is seen in this one", "[desk]") {
  const support::Folder folder;
  const auto file = folder / "one.h5";
  support::make_measured_session(file, 1);
  DeskState mine{Preferences{}};
  REQUIRE(mine.open_session(file));
  QSignalSpy edits(&mine, &DeskState::edits_changed);
  QSignalSpy results(&mine, &DeskState::results_changed);
  QSignalSpy told(&mine, &DeskState::session_told);
  mine.take_over_session();
  CHECK(edits.empty());
  CHECK(told.empty());

  DeskState other{Preferences{}};
  REQUIRE(other.open_session(file));
  REQUIRE(other.add_edit(mass_of(60.0)));
  // By itself, within some seconds.
  REQUIRE(wait_for([&] { return mine.session()->edits().size() == 1; }, 10000));
  CHECK(mine.session()->session().athlete.mass.value == 60.0);
  CHECK(edits.size() == 1);
  REQUIRE(told.size() == 1);
  CHECK(told.front().front().toString().contains(QStringLiteral("A. Coach")));
  CHECK(results.empty());

  Jobs jobs;
  QObject owner;
  bool measured = false;
  analyse_session(jobs, &owner, LabFolder{folder.path()}, file,
                  [&](const Result<void>& done) { measured = done.has_value(); });
  REQUIRE(wait_for([&] { return measured; }));
  mine.take_over_session();
  CHECK(results.size() == 1);
  CHECK(mine.session()->results().edits_known == 1);
  CHECK(told.size() == 1);

  // What this window writes itself is not told as another's.
  REQUIRE(mine.add_edit(mass_of(61.0)));
  REQUIRE(wait_for([&] { return mine.session()->settled(); }));
  mine.take_over_session();
  CHECK(told.size() == 1);
}
