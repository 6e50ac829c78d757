// SPDX-License-Identifier: GPL-3.0-or-later
// Somebody restless at the window: random keys and clicks on whatever is there. It must stand, what
// was recorded must stay as it was to the byte, the lab's files must stay readable, and every
// change must be of the throw that was shown when the key was pressed. MOUNDWORK_RESTLESS="SEED
// ACTIONS" for a longer run.
#include <QAbstractButton>
#include <QApplication>
#include <QDesktopServices>
#include <QTest>
#include <QTimer>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <optional>
#include <random>
#include <sstream>

#include "app/desk/capture/throw_page.h"
#include "app/desk/capture/throw_table.h"
#include "app/desk/edit_list.h"
#include "app/desk/review/trace_plot.h"
#include "app/desk/window.h"
#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/edit_list.h"
#include "core/session/edit_state.h"
#include "core/session/reader.h"
#include "drivers/station/station.h"
#include "drivers/virtual/player.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

namespace fs = std::filesystem;

std::string bytes_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

class Restless {
 public:
  explicit Restless(unsigned seed) : random_(seed) {}

  /// One thing done to the window, or to the dialog in front of it. `shown` is the throw that is
  /// looked at, by its contact.
  void act(QWidget& window, double shown) {
    pressed_at_ = shown;
    acting_ = true;
    do_something(window);
    acting_ = false;
  }
  /// A change on purpose, of what is seen.
  void change(QWidget& window, double shown) {
    pressed_at_ = shown;
    acting_ = true;
    change_something(window);
    acting_ = false;
  }
  /// Contact of the throw that was shown when the last thing was done; nothing between two.
  [[nodiscard]] std::optional<double> pressed_at() const {
    return acting_ ? std::optional(pressed_at_) : std::nullopt;
  }

  /// What is seen is changed on purpose now and then: by chance alone it hardly ever is.
  void change_something(QWidget& window) {
    if (auto* plot = window.findChild<TracePlot*>(); plot != nullptr && plot->isVisible()) {
      plot->setFocus();
      QTest::keyClick(plot, pick(2) == 0 ? Qt::Key_BracketLeft : Qt::Key_BracketRight);
      QTest::keyClick(plot, pick(2) == 0 ? Qt::Key_Left : Qt::Key_Right);
    } else if (auto* table = window.findChild<ThrowTable*>();
               table != nullptr && table->isVisible()) {
      constexpr Qt::Key notes[] = {Qt::Key_F, Qt::Key_K, Qt::Key_5, Qt::Key_U};
      table->setFocus();
      QTest::keyClick(table, notes[pick(std::size(notes))]);
    }
  }

  void do_something(QWidget& window) {
    QWidget* modal = QApplication::activeModalWidget();
    QWidget* top = modal == nullptr ? &window : modal;
    std::vector<QWidget*> parts;
    for (QWidget* part : top->findChildren<QWidget*>())
      if (part->isVisible() && part->isEnabled()) parts.push_back(part);
    if (QWidget* popup = QApplication::activePopupWidget()) parts = {popup};
    QWidget* part = parts.empty() ? top : parts[pick(parts.size())];
    switch (pick(10)) {
      case 9:
        if (modal == nullptr && QApplication::activePopupWidget() == nullptr)
          change_something(window);
        break;
      case 0:
        part->setFocus();
        break;
      case 1:
      case 2: {
        const QPoint at(static_cast<int>(pick(static_cast<std::size_t>(part->width() + 1))),
                        static_cast<int>(pick(static_cast<std::size_t>(part->height() + 1))));
        QTest::mouseClick(part, Qt::LeftButton, {}, at);
        break;
      }
      case 3:
        if (auto* button = qobject_cast<QAbstractButton*>(part)) button->click();
        break;
      case 4:
        drag(*part);
        break;
      case 5:
        if (modal == nullptr) {
          QTest::keySequence(top, QKeySequence(QLatin1String(chords[pick(std::size(chords))])));
          break;
        }
        [[fallthrough]];
      default:
        QWidget* focus = QApplication::focusWidget();
        QTest::keyClick(focus == nullptr ? top : focus, keys[pick(std::size(keys))]);
    }
  }

  /// Whoever was asked something does not always answer; a dialog must not stay for ever.
  void close_dialogs() {
    if (QWidget* popup = QApplication::activePopupWidget())
      popup->close();
    else if (QWidget* modal = QApplication::activeModalWidget())
      pick(2) == 0 ? QTest::keyClick(modal, Qt::Key_Return)
                   : QTest::keyClick(modal, Qt::Key_Escape);
  }

  std::size_t pick(std::size_t count) {
    return std::uniform_int_distribution<std::size_t>(0, count - 1)(random_);
  }

 private:
  void drag(QWidget& part) {
    const auto place = [&] {
      return QPoint(static_cast<int>(pick(static_cast<std::size_t>(part.width() + 1))),
                    static_cast<int>(pick(static_cast<std::size_t>(part.height() + 1))));
    };
    QTest::mousePress(&part, Qt::LeftButton, {}, place());
    QTest::mouseMove(&part, place());
    QTest::mouseRelease(&part, Qt::LeftButton, {}, place());
  }

  static constexpr Qt::Key keys[] = {
      Qt::Key_Tab,       Qt::Key_Return, Qt::Key_Space,       Qt::Key_Up,
      Qt::Key_Down,      Qt::Key_Left,   Qt::Key_Right,       Qt::Key_Delete,
      Qt::Key_F2,        Qt::Key_Escape, Qt::Key_F,           Qt::Key_S,
      Qt::Key_X,         Qt::Key_U,      Qt::Key_Z,           Qt::Key_1,
      Qt::Key_5,         Qt::Key_9,      Qt::Key_0,           Qt::Key_Minus,
      Qt::Key_Period,    Qt::Key_Comma,  Qt::Key_BracketLeft, Qt::Key_BracketRight,
      Qt::Key_Home,      Qt::Key_End,    Qt::Key_PageUp,      Qt::Key_PageDown,
      Qt::Key_Backspace, Qt::Key_Insert};
  static constexpr const char* chords[] = {"Ctrl+1", "Ctrl+2", "Ctrl+3", "Ctrl+4",
                                           "Ctrl+5", "Ctrl+Z", "Ctrl+E", "Ctrl+Shift+Z",
                                           "F9",     "Alt+C",  "Ctrl+A", "Ctrl+Y"};
  std::mt19937 random_;
  bool acting_ = false;
  double pressed_at_ = 0.0;
};

/// Looks at every edit as it is made.
class Watch {
 public:
  Watch(DeskState& state, const Restless& person, const ThrowPage& throwing) {
    QObject::connect(&state, &DeskState::edits_changed, [this, &state, &person, &throwing] {
      const auto& edits = state.session()->edits();
      const bool more = state.session()->path() == session_ && edits.size() > seen_;
      session_ = state.session()->path();
      seen_ = edits.size();
      if (!more) return;
      const session::Edit& edit = edits.back();
      // A fact put right is the whole session's.
      if (std::isnan(edit.throw_contact) || by_itself(edit, throwing)) return;
      ++count_;
      INFO(session::key_of(edit.action)
           << " " << edit.target << " of the throw at " << edit.throw_contact);
      // What is taken back is shown first; all else is of what was shown already.
      const auto pressed = person.pressed_at();
      const double shown = edit.action == session::Action::undo ? state.shown_contact()
                                                                : pressed.value_or(std::nan(""));
      CHECK(std::abs(edit.throw_contact - shown) <= session::same_throw);
    });
    const auto begin_with = [this, &state] {
      session_ = state.session() == nullptr ? fs::path() : state.session()->path();
      seen_ = state.session() == nullptr ? 0 : state.session()->edits().size();
    };
    QObject::connect(&state, &DeskState::session_changed, begin_with);
    begin_with();
  }
  [[nodiscard]] int count() const { return count_; }

 private:
  /// The cue that was asked for beforehand comes with each throw.
  static bool by_itself(const session::Edit& edit, const ThrowPage& throwing) {
    const auto& found = throwing.day().throws();
    return edit.action == session::Action::tag && edit.target == "cue" && !found.empty() &&
           edit.throw_contact == found.back().contact;
  }

  fs::path session_;
  std::size_t seen_ = 0;
  int count_ = 0;
};

}  // namespace

TEST_CASE("whatever is pressed, the window stands and the recording stays", "[restless]") {
  unsigned seed = 1;
  int actions = 600;
  if (const char* wanted = std::getenv("MOUNDWORK_RESTLESS")) {
    std::istringstream words(wanted);
    words >> seed >> actions;
  }
  CAPTURE(seed, actions);
  const support::Folder folder;
  const LabFolder lab{folder / "lab"};
  DeskState state{Preferences{}};
  REQUIRE(state.open_lab(lab.root));
  std::vector<RosterAthlete> roster;
  std::vector<fs::path> sessions;
  for (int athlete = 1; athlete <= 2; ++athlete) {
    model::SessionSettings settings;
    settings.seed = static_cast<std::uint64_t>(athlete);
    settings.athlete = athlete;
    settings.performance.pitches = 4;
    sessions.push_back(lab.sessions() / ("athlete-" + std::to_string(athlete) + ".h5"));
    REQUIRE(model::simulate_session(sessions.back(), settings));
    const auto reader = session::Reader::open(sessions.back());
    REQUIRE(reader);
    const auto analysis = pitch::analyse(*reader, {});
    REQUIRE(analysis);
    REQUIRE(session::append_results(sessions.back(),
                                    pitch::to_results(*analysis, {}, "2026-05-04T10:00:00Z")));
    RosterAthlete one;
    one.id = reader->session().athlete.id;
    one.name = reader->session().athlete.name;
    one.born = reader->session().athlete.born;
    one.throws = reader->session().athlete.throws;
    one.mass = reader->session().athlete.mass.value;
    one.consent = one.guardian_consent = "2026-01-01";
    roster.push_back(one);
  }
  // A station that answers, so that a recording can begin.
  auto player = drivers::Player::open(sessions.front(), lab.root);
  REQUIRE(player);
  REQUIRE(state.set_roster(roster));
  std::vector<std::string> before;
  before.reserve(sessions.size());
  for (const fs::path& session : sessions) before.push_back(bytes_of(session));

  Window window(state);
  window.resize(1366, 768);
  window.show();
  window.open(sessions.front());
  window.activateWindow();
  REQUIRE(QTest::qWaitForWindowActive(&window));
  // Pages that were made are not opened in whatever shows such files here.
  QDesktopServices::setUrlHandler(QStringLiteral("file"), &window, "no_such_method");
  Restless person(seed);
  const auto act = [&] { person.act(window, state.shown_contact()); };
  auto& throwing = dynamic_cast<ThrowPage&>(window.page(DayPage::throws));
  const Watch watch(state, person, throwing);
  // One change at least, however the dice fall.
  window.go_to(DayPage::review);
  const auto* plot = window.findChild<TracePlot*>();
  REQUIRE(QTest::qWaitFor([&] { return !plot->markers().empty(); }, 60000));
  person.change(window, state.shown_contact());
  QTimer closing;
  int asked_for = 0;
  QObject::connect(&closing, &QTimer::timeout, [&] {
    if (QApplication::activeModalWidget() == nullptr &&
        QApplication::activePopupWidget() == nullptr)
      asked_for = 0;
    else if (++asked_for <= 3)
      act();
    else
      person.close_dialogs();
  });
  closing.start(15);

  for (int i = 0; i < actions; ++i) {
    if (!window.isVisible()) window.show();
    if (person.pick(40) == 0) window.go_to(static_cast<DayPage>(person.pick(day_page_count)));
    act();
    (void)player->play_until(std::chrono::milliseconds(20 * i));
    QTest::qWait(person.pick(10) == 0 ? 50 : 1);
  }

  // Whatever runs is brought to its end.
  REQUIRE(QTest::qWaitFor(
      [&] {
        if (throwing.day().phase() == LiveDay::Phase::recording) throwing.start_or_end();
        return throwing.day().phase() == LiveDay::Phase::idle && window.jobs().running().empty();
      },
      120000));
  closing.stop();
  WARN(watch.count() << " changes made, each of the throw that was shown");
  CHECK(watch.count() > 0);
  QDesktopServices::unsetUrlHandler(QStringLiteral("file"));
  for (std::size_t i = 0; i < sessions.size(); ++i) {
    CAPTURE(sessions[i]);
    CHECK(bytes_of(sessions[i]) == before[i]);
    CHECK(session::read_edits(sessions[i]));
    CHECK(session::read_results(sessions[i]));
  }
  CHECK(people::read_roster(lab.roster()));
  const auto station = drivers::read_station(lab.station());
  if (!station) FAIL(station.error().sentence());
  for (const auto& entry : fs::directory_iterator(lab.sessions()))
    if (entry.path().extension() == ".h5") CHECK(session::Reader::open(entry.path()));
  // What the window shows of the open session is what stands in its list.
  if (const OpenSession* open = state.session()) {
    CHECK(QTest::qWaitFor([&] {
      const auto written = session::read_edits(open->path());
      return written && open->edits().size() == written->size();
    }));
  }
}
