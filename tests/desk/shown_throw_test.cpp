// SPDX-License-Identifier: GPL-3.0-or-later
// The throw that is looked at, in the whole window: it stays whatever else happens, and keys change
// it alone.
#include <QLineEdit>
#include <QMouseEvent>
#include <QTableWidget>
#include <QTest>
#include <catch2/catch.hpp>
#include <set>

#include "app/desk/jobs/analysis_job.h"
#include "app/desk/relate/relation_table.h"
#include "app/desk/relate/scatter_plot.h"
#include "app/desk/review/throw_picker.h"
#include "app/desk/review/trace_plot.h"
#include "app/desk/window.h"
#include "desk/support/lab_session.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

bool wait_for(const std::function<bool()>& holds, int longest_ms = 60000) {
  return QTest::qWaitFor(holds, longest_ms);
}

/// A window with a session of ten throws, at Review.
class Desk {
 public:
  Desk() : state_(Preferences{}), window_(state_) {
    REQUIRE(state_.open_lab(folder_ / "lab"));
    file_ = state_.lab().sessions() / "ten.h5";
    support::make_measured_session(file_, 10);
    window_.resize(1366, 768);
    window_.show();
    window_.activateWindow();
    REQUIRE(QTest::qWaitForWindowActive(&window_));
    REQUIRE(state_.open_session(file_));
    window_.go_to(DayPage::review);
    REQUIRE(state_.session()->results().throws.size() == 10);
  }
  DeskState& state() { return state_; }
  Window& window() { return window_; }
  [[nodiscard]] const std::filesystem::path& file() const { return file_; }

  void look_at(int number) {
    state_.show_throw(number);
    REQUIRE(wait_for([&] { return plot().isVisible() && !plot().markers().empty(); }));
    settle();
  }
  void settle() {
    REQUIRE(wait_for([&] { return window_.jobs().running().empty(); }));
  }
  TracePlot& plot() { return *window_.page(DayPage::review).findChild<TracePlot*>(); }
  double contact_of(int number) {
    for (const auto& thrown : state_.session()->results().throws)
      if (thrown.number == number) return seconds(thrown.contact);
    FAIL("no such throw");
    return 0.0;
  }
  /// Every edit so far is of this throw.
  void check_edits_are_of(double contact) {
    for (const session::Edit& edit : state_.session()->edits())
      CHECK(edit.throw_contact == Approx(contact).margin(session::same_throw));
  }

 private:
  support::Folder folder_;
  DeskState state_;
  Window window_;
  std::filesystem::path file_;
};

}  // namespace

TEST_CASE("keys in Review change the throw that is looked at, again and again", "[shown-throw]") {
  Desk desk;
  DeskState& state = desk.state();
  CHECK(state.shown_throw() == 10);  // the newest, when a session is opened
  desk.look_at(4);
  const double contact = desk.contact_of(4);
  TracePlot& plot = desk.plot();
  plot.setFocus();
  QTest::keyClick(&plot, Qt::Key_BracketRight);
  for (int step = 0; step < 3; ++step) {
    QTest::keyClick(&plot, Qt::Key_Right);
    CHECK(state.shown_throw() == 4);
    QTest::qWait(30);
  }
  REQUIRE(state.session()->edits().size() == 3);
  desk.check_edits_are_of(contact);

  // The whole session is measured again by itself.
  bool renewed = false;
  QObject::connect(&state, &DeskState::results_changed, &plot, [&] { renewed = true; });
  REQUIRE(wait_for([&] { return renewed; }));
  CHECK(state.shown_throw() == 4);

  auto* reason = desk.window()
                     .page(DayPage::review)
                     .findChild<QLineEdit*>(QStringLiteral("reason_to_exclude"));
  reason->setFocus();
  QTest::keyClicks(reason, QStringLiteral("slipped"));
  QTest::keyClick(reason, Qt::Key_Return);
  REQUIRE(state.session()->edits().size() == 4);
  CHECK(state.session()->edits().back().action == session::Action::exclude);
  desk.check_edits_are_of(contact);
  CHECK(state.shown_throw() == 4);
}

TEST_CASE("pages, preferences and another analysis leave the throw that is looked at",
          "[shown-throw]") {
  Desk desk;
  DeskState& state = desk.state();
  desk.look_at(3);
  const double contact = desk.contact_of(3);
  for (const char* keys : {"Ctrl+4", "Ctrl+3", "Ctrl+2", "Ctrl+1", "Ctrl+5", "Ctrl+3"}) {
    QTest::keySequence(&desk.window(), QKeySequence(QLatin1String(keys)));
    CHECK(state.shown_throw() == 3);
    desk.settle();
  }
  Preferences preferences = state.preferences();
  preferences.speed = SpeedUnit::mile_per_hour;
  preferences.theme = Theme::dark;
  state.set_preferences(preferences);
  CHECK(state.shown_throw() == 3);
  desk.settle();

  bool measured = false;
  analyse_session(desk.window().jobs(), &desk.window(), state.lab(), desk.file(),
                  [&](const Result<void>& done) { measured = done.has_value(); });
  REQUIRE(wait_for([&] { return measured; }));
  REQUIRE(state.reload_session());
  CHECK(state.shown_throw() == 3);

  // An analysis that finds one throw less gives those after it other numbers.
  auto results = session::read_results(desk.file());
  REQUIRE(results);
  results->throws.erase(results->throws.begin());
  for (auto& thrown : results->throws) --thrown.number;
  REQUIRE(session::append_results(desk.file(), *results));
  REQUIRE(state.reload_session());
  CHECK(state.shown_throw() == 2);
  CHECK(state.shown_contact() == Approx(contact));
  desk.settle();
  // What keys change is still the same.
  REQUIRE(wait_for([&] { return !desk.plot().markers().empty(); }));
  desk.settle();
  desk.plot().setFocus();
  QTest::keyClick(&desk.plot(), Qt::Key_BracketRight);
  QTest::keyClick(&desk.plot(), Qt::Key_Right);
  REQUIRE(state.session()->edits().size() == 1);
  desk.check_edits_are_of(contact);

  // One that is gone is not replaced by another.
  results->throws.erase(results->throws.begin() + 1);
  REQUIRE(session::append_results(desk.file(), *results));
  REQUIRE(state.reload_session());
  CHECK(state.shown_throw() == 0);
}

TEST_CASE("what is taken back is shown, whichever throw was looked at", "[shown-throw]") {
  Desk desk;
  DeskState& state = desk.state();
  desk.look_at(4);
  desk.plot().setFocus();
  QTest::keyClick(&desk.plot(), Qt::Key_BracketRight);
  QTest::keyClick(&desk.plot(), Qt::Key_Right);
  desk.look_at(7);
  QTest::keySequence(&desk.window(), QKeySequence(QKeySequence::Undo));
  REQUIRE(state.session()->edits().size() == 2);
  CHECK(state.shown_throw() == 4);
}

TEST_CASE("a click beside the rows of the throws changes nothing", "[shown-throw]") {
  Desk desk;
  DeskState& state = desk.state();
  desk.look_at(4);
  auto* picker = desk.window().page(DayPage::review).findChild<ThrowPicker*>();
  QWidget* ground = picker->viewport();
  const int below = picker->visualItemRect(picker->item(9, 0)).bottom() + 6;
  REQUIRE(below < ground->height());
  QTest::mouseClick(ground, Qt::LeftButton, {}, QPoint(10, below));
  CHECK(state.shown_throw() == 4);
  CHECK(picker->selectedItems().size() == picker->columnCount());
  CHECK(picker->currentRow() == 3);
  // Ctrl and a click on the chosen row would leave none chosen.
  QTest::mouseClick(ground, Qt::LeftButton, Qt::ControlModifier,
                    picker->visualItemRect(picker->item(3, 1)).center());
  CHECK(picker->selectedItems().size() == picker->columnCount());
}

TEST_CASE("a point of Relate leads to its throw, by click and by Enter", "[shown-throw]") {
  Desk desk;
  DeskState& state = desk.state();
  desk.window().go_to(DayPage::relate);
  auto* scatter = desk.window().page(DayPage::relate).findChild<ScatterPlot*>();
  auto* table = desk.window().page(DayPage::relate).findChild<QTableWidget*>();
  REQUIRE(wait_for([&] { return table->rowCount() > 0; }));
  desk.settle();
  const std::string whose = state.session()->session().athlete.id;
  // One that was never measured is named where it is the athlete's, by its name alone.
  const auto unmeasured = desk.file().parent_path() / "later.h5";
  std::filesystem::copy_file(desk.file(), unmeasured);
  const auto with_another = relate_sessions({desk.file(), unmeasured}, whose, {});
  REQUIRE(with_another);
  REQUIRE(with_another->left_out.size() == 1);
  CHECK(with_another->left_out.front().starts_with("later.h5 is not in this"));
  std::filesystem::remove(unmeasured);
  const auto answer = relate_sessions({desk.file()}, whose, {});
  REQUIRE(answer);
  int row = -1;
  QObject::connect(scatter, &ScatterPlot::row_wanted, scatter, [&](int asked) { row = asked; });
  const auto check = [&] {
    REQUIRE(row >= 0);
    CHECK(desk.window().shown_page() == DayPage::review);
    CHECK(state.shown_throw() == answer->sources[static_cast<std::size_t>(row)].number);
    desk.settle();
    CHECK(state.shown_throw() == answer->sources[static_cast<std::size_t>(row)].number);
    desk.window().go_to(DayPage::relate);
    desk.settle();
  };
  std::set<int> led_to;
  for (int point = 0; point < 3; ++point) {
    scatter->setFocus();
    for (int step = 0; step <= point; ++step) QTest::keyClick(scatter, Qt::Key_Right);
    QTest::keyClick(scatter, Qt::Key_Return);
    check();
    led_to.insert(state.shown_throw());
  }
  CHECK(led_to.size() == 3);
  // By the mouse: wherever a point lies.
  row = -1;
  for (int x = 0; x < scatter->width() && row < 0; x += 6)
    for (int y = 0; y < scatter->height() && row < 0; y += 6) {
      QTest::mouseClick(scatter, Qt::LeftButton, {}, QPoint(x, y));
      if (row >= 0) break;
    }
  check();
}
