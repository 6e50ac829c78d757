// SPDX-License-Identifier: GPL-3.0-or-later
// Which lab the window works in: always the same folder, never one made by mistake, and practice
// never mixed with it.
#include <QApplication>
#include <QLabel>
#include <QMessageBox>
#include <QPushButton>
#include <QTest>
#include <catch2/catch.hpp>
#include <fstream>

#include "app/desk/pictures.h"
#include "app/desk/window.h"
#include "desk/support/lab_session.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

namespace fs = std::filesystem;

/// The working folder is another for a while.
class In {
 public:
  explicit In(const fs::path& folder) : before_(fs::current_path()) { fs::current_path(folder); }
  In(const In&) = delete;
  In& operator=(const In&) = delete;
  ~In() { fs::current_path(before_); }

 private:
  fs::path before_;
};

}  // namespace

TEST_CASE("a lab named by a relative path is the same lab at the next start", "[window-lab]") {
  const support::Folder folder;
  fs::create_directories(folder / "here");
  fs::create_directories(folder / "there");
  {
    const In here(folder / "here");
    DeskState state{Preferences{}};
    Window window(state);
    fs::create_directories("lab");
    window.open("lab");
    CHECK(state.lab().root == fs::canonical(folder / "here") / "lab");
    support::make_measured_session(state.lab().sessions() / "one.h5", 1);
    window.open("lab/sessions/one.h5");
    CHECK(state.session()->path().is_absolute());
  }
  const In there(folder / "there");
  const Preferences kept = load_preferences();
  CHECK(kept.lab == fs::canonical(folder / "here") / "lab");
  DeskState state{kept};
  Window window(state);
  window.reopen_last();
  CHECK(state.session() != nullptr);
  CHECK(fs::is_empty(folder / "there"));
}

TEST_CASE("a lab folder that is gone is asked for, and none is made in its place", "[window-lab]") {
  const support::Folder folder;
  {
    DeskState state{Preferences{}};
    REQUIRE(state.open_lab(folder / "disk" / "lab"));
  }
  fs::remove_all(folder / "disk");
  DeskState state{load_preferences()};
  Window window(state);
  window.show();
  window.reopen_last();
  CHECK_FALSE(fs::exists(folder / "disk"));
  auto* asked = window.findChild<QMessageBox*>();
  REQUIRE(asked != nullptr);
  CHECK(asked->isVisible());
  CHECK(asked->text().contains(QString::fromStdString((folder / "disk" / "lab").string())));
  CHECK(asked->textFormat() == Qt::PlainText);
  asked->reject();
  CHECK_FALSE(fs::exists(folder / "disk"));
  // Only when somebody says so.
  window.reopen_last();
  for (QMessageBox* again : window.findChildren<QMessageBox*>())
    for (QAbstractButton* button : again->buttons())
      if (again->isVisible() && again->buttonRole(button) == QMessageBox::DestructiveRole)
        button->click();
  CHECK(fs::exists(folder / "disk" / "lab"));
}

TEST_CASE("a lab with sessions and no roster is not greeted as a new one", "[window-lab]") {
  const support::Folder folder;
  DeskState state{Preferences{}};
  Window window(state);
  auto* greeting = window.findChild<QLabel*>(QStringLiteral("greeting"));
  REQUIRE(greeting != nullptr);
  REQUIRE(state.open_lab(folder / "new"));
  CHECK(greeting->text().contains(QStringLiteral("new lab")));
  const LabFolder old{folder / "old"};
  fs::create_directories(old.sessions());
  for (int i = 0; i < 20; ++i)
    std::ofstream(old.sessions() / ("s" + std::to_string(i) + ".h5")) << "not opened";
  REQUIRE(state.open_lab(old.root));
  CHECK_FALSE(greeting->text().contains(QStringLiteral("new lab")));
  CHECK(greeting->text().contains(QStringLiteral("sessions (20)")));
  CHECK(greeting->text().contains(QStringLiteral("roster.csv")));
}

TEST_CASE("pictures change none of the user's settings", "[window-lab]") {
  const support::Folder folder;
  support::make_measured_session(folder / "one.h5", 1);
  Preferences mine;
  mine.lab = folder / "my lab";
  mine.theme = Theme::light;
  mine.last_page = DayPage::prepare;
  save_preferences(mine);
  {
    Preferences dark = load_preferences();
    dark.theme = Theme::dark;
    DeskState state(dark, DeskState::Keep::nothing);
    Window window(state);
    window.open(folder.path());
    window.open(folder / "one.h5");
    REQUIRE(save_pictures(window, QString::fromStdString((folder / "pictures").string()),
                          QStringLiteral("800x600")));
    window.close();
  }
  const Preferences after = load_preferences();
  CHECK(after.theme == Theme::light);
  CHECK(after.lab == mine.lab);
  CHECK(after.last_session.empty());
  CHECK(after.last_page == DayPage::prepare);
  CHECK_FALSE(settings_file().contains(QStringLiteral("window/geometry")));
}

TEST_CASE("leaving practice leaves nothing of it behind", "[window-lab]") {
  const support::Folder folder;
  const fs::path lab = folder / "lab", practice = folder / "lab practice";
  DeskState state{Preferences{}};
  Window window(state);
  window.show();
  auto* band = window.findChild<QWidget*>(QStringLiteral("practice_band"));
  REQUIRE(band != nullptr);
  REQUIRE(state.open_lab(lab));
  CHECK_FALSE(band->isVisible());
  REQUIRE(state.open_lab(practice));
  const fs::path session = state.lab().sessions() / "invented.h5";
  support::make_measured_session(session, 1);
  REQUIRE(state.open_session(session));
  // On every page while it lasts.
  for (int i = 0; i < day_page_count; ++i) {
    window.go_to(static_cast<DayPage>(i));
    CHECK(band->isVisible());
  }
  REQUIRE(QTest::qWaitFor([&] { return window.jobs().running().empty(); }, 60000));
  band->findChild<QPushButton*>()->click();
  CHECK(state.lab().root == lab);
  CHECK_FALSE(band->isVisible());
  CHECK(state.session() == nullptr);
  CHECK(load_preferences().last_session.empty());
  // Nor does it come in by another way.
  const auto opened = state.open_session(session);
  REQUIRE_FALSE(opened);
  CHECK(opened.error().sentence().find("practice") != std::string::npos);
  CHECK(state.session() == nullptr);
  // A version before kept it as the last one.
  Preferences old = state.preferences();
  old.last_session = session;
  DeskState next{old};
  Window again(next);
  again.reopen_last();
  CHECK(next.session() == nullptr);
}

TEST_CASE("a session given at the start opens in its own lab, and Review shows it",
          "[window-lab]") {
  const support::Folder folder;
  const LabFolder lab{folder / "lab"}, last{folder / "last"};
  for (const LabFolder& made : {lab, last}) {
    DeskState state{Preferences{}};
    REQUIRE(state.open_lab(made.root));
    RosterAthlete athlete;
    athlete.id = "A01";
    athlete.name = "Mia One";
    REQUIRE(state.set_roster({athlete}));
  }
  support::make_measured_session(lab.sessions() / "one.h5", 1);
  support::make_measured_session(folder / "alone.h5", 1);
  Preferences preferences;
  preferences.lab = last.root;
  preferences.last_page = DayPage::summaries;
  const auto start = [&](const std::vector<fs::path>& paths, const fs::path& expected_lab) {
    DeskState state{preferences};
    Window window(state);
    REQUIRE(window.open_given(paths));
    CHECK(state.lab().root == expected_lab);
    CHECK(state.roster().size() == 1);
    REQUIRE(state.session() != nullptr);
    CHECK(state.session()->path() == paths.back());
    CHECK(window.shown_page() == DayPage::review);
  };
  start({lab.sessions() / "one.h5"}, lab.root);
  start({folder / "alone.h5"}, last.root);
  start({lab.root, folder / "alone.h5"}, lab.root);
}

TEST_CASE("a path that is not there is said, and the last lab is open as a whole", "[window-lab]") {
  const support::Folder folder;
  const fs::path lab = folder / "lab";
  {
    DeskState state{Preferences{}};
    REQUIRE(state.open_lab(lab));
    RosterAthlete athlete;
    athlete.id = "A01";
    REQUIRE(state.set_roster({athlete}));
  }
  DeskState state{load_preferences()};
  Window window(state);
  window.show();
  CHECK_FALSE(state.lab_is_open());
  auto* greeting = window.findChild<QLabel*>(QStringLiteral("greeting"));
  // Nothing is said of a folder that nobody has looked into.
  CHECK(greeting->text().contains(QStringLiteral("No lab is open")));
  const auto opened = window.open_given({folder / "nosuch"});
  REQUIRE_FALSE(opened);
  CHECK(opened.error().sentence().find((folder / "nosuch").string()) != std::string::npos);
  bool said = false;
  for (const QLabel* label : window.findChildren<QLabel*>())
    said = said || (label->isVisible() && label->text().contains(QStringLiteral("nosuch")));
  CHECK(said);
  CHECK(state.lab().root == lab);
  CHECK(state.roster().size() == 1);
  CHECK_FALSE(fs::exists(folder / "nosuch"));
}

TEST_CASE("a new lab given at the start opens on Prepare", "[window-lab]") {
  const support::Folder folder;
  fs::create_directories(folder / "new");
  Preferences preferences;
  preferences.last_page = DayPage::review;
  DeskState state{preferences};
  Window window(state);
  REQUIRE(window.open_given({folder / "new"}));
  CHECK(window.shown_page() == DayPage::prepare);
}
