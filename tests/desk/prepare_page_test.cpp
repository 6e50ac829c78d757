// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/prepare_page.h"

#include <fmt/format.h>

#include <QApplication>
#include <QComboBox>
#include <QDialog>
#include <QDoubleSpinBox>
#include <QLabel>
#include <QPlainTextEdit>
#include <QPushButton>
#include <QTableView>
#include <QTableWidget>
#include <QTest>
#include <QUndoStack>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <thread>

#include "app/desk/page/notice.h"
#include "app/desk/plot/foot_picture.h"
#include "app/desk/prepare/checks_panel.h"
#include "app/desk/prepare/roster_panel.h"
#include "app/desk/prepare/station_panel.h"
#include "app/desk/prepare/station_text.h"
#include "app/desk/prepare/weigh_in_panel.h"
#include "app/desk/state/weigh_ins.h"
#include "core/base/units.h"
#include "core/session/writer.h"
#include "drivers/virtual/player.h"
#include "support/drivers/virtual_plate.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

/// The page on a screen that is not there, with a lab of its own.
struct Desk {
  support::Folder folder;
  DeskState state{Preferences{}};
  Jobs jobs;
  std::unique_ptr<PreparePage> page;

  Desk() {
    REQUIRE(state.open_lab(folder.path()));
    page = std::make_unique<PreparePage>(state, jobs);
    page->resize(1340, 620);
    page->show();
    idle();
  }
  ~Desk() { page.reset(); }
  void idle() {
    while (!jobs.running().empty()) QTest::qWait(10);
  }
  [[nodiscard]] QPushButton* button(const QString& words) const {
    for (QPushButton* one : page->findChildren<QPushButton*>())
      if (one->isVisibleTo(page.get()) && QString(one->text()).remove(u'&').startsWith(words))
        return one;
    FAIL("no button " << words.toStdString());
    return nullptr;
  }
  void press(const QString& words) const { QTest::keyClick(button(words), Qt::Key_Space); }
  /// What remarks say at present.
  [[nodiscard]] std::string remarks() const {
    QString all;
    for (const Notice* remark : page->findChildren<Notice*>())
      if (remark->isVisible()) all += remark->text() + u'\n';
    return all.toStdString();
  }
  template <class Condition>
  bool wait(Condition condition, int most_ms = 8000) const {
    return QTest::qWaitFor(condition, most_ms);
  }
};

RosterAthlete pitcher() {
  RosterAthlete athlete;
  athlete.id = "A01";
  athlete.name = "Ivo Brandt";
  athlete.born = "2001-05-03";
  athlete.consent = "2026-01-10";
  return athlete;
}

}  // namespace

TEST_CASE("an empty lab greets, and practice is a button away", "[prepare][page]") {
  const Desk desk;
  bool wanted = false;
  QObject::connect(desk.page.get(), &Page::wants_practice, [&] { wanted = true; });
  desk.press(QStringLiteral("Practise with virtual instruments"));
  CHECK(wanted);
  CHECK(desk.page->busy_with().isEmpty());
}

TEST_CASE("a roster is imported, edited, given a turn, and taken back", "[prepare][page]") {
  Desk desk;
  std::ofstream(desk.folder / "list.tsv")
      << "id\tname\tborn\tthrows\theight (cm)\nB1\tOtto Lang\t2010-02-11\tleft\t181\n"
         "B2\tNia Holm\t2012-09-30\tnone\t170\n";
  desk.page->roster_panel().import_file(desk.folder / "list.tsv");
  desk.idle();
  auto* preview = desk.page->findChild<QDialog*>();
  REQUIRE(preview != nullptr);
  // Nothing comes in before it is accepted.
  CHECK(desk.state.roster().empty());
  preview->accept();
  REQUIRE(desk.state.roster().size() == 1);
  CHECK(desk.state.roster()[0].height == Approx(1.81));

  auto* table = desk.page->roster_panel().findChild<QTableView*>();
  REQUIRE(table != nullptr);
  const auto type = [&](RosterColumn column, const char* text) {
    table->setCurrentIndex(table->model()->index(0, static_cast<int>(column)));
    table->edit(table->currentIndex());
    QWidget* editor = table->focusWidget();
    if (editor == nullptr || editor == table) editor = table->viewport()->findChild<QWidget*>();
    REQUIRE(editor != nullptr);
    QTest::keyClicks(editor, QString::fromUtf8(text));
    QTest::keyClick(editor, Qt::Key_Return);
    QApplication::processEvents();
  };
  type(RosterColumn::height, "6 ft 1 in");
  CHECK(desk.state.roster()[0].height == Approx(1.8542));  // 0.3048 and 0.0254 m, exact
  type(RosterColumn::height, "7 kg");
  CHECK_THAT(desk.remarks(), Catch::Contains("unit"));
  CHECK(desk.state.roster()[0].height == Approx(1.8542));

  // Consent missing is said at the athlete; a minor needs two.
  const auto said = [&] {
    QString all;
    for (const QLabel* label : desk.page->roster_panel().findChildren<QLabel*>())
      all += label->text() + u'\n';
    return all.toStdString();
  };
  CHECK_THAT(said(), Catch::Contains("own consent is not noted"));
  type(RosterColumn::consent, "yes");
  CHECK_THAT(said(), Catch::Contains("guardian"));
  type(RosterColumn::guardian_consent, "yes");
  CHECK_THAT(said(), Catch::Contains("consent is noted"));

  desk.press(QStringLiteral("Next up"));
  REQUIRE(desk.state.athlete() != nullptr);
  CHECK(desk.state.athlete()->id == "B1");
  desk.press(QStringLiteral("Remove from the roster"));
  CHECK(desk.state.roster().empty());
  CHECK_THAT(desk.remarks(), Catch::Contains("stay in the lab's folder"));
  desk.page->undo_stack()->undo();
  REQUIRE(desk.state.roster().size() == 1);
  CHECK(desk.state.roster()[0].name == "Otto Lang");
  while (desk.page->undo_stack()->canUndo()) desk.page->undo_stack()->undo();
  CHECK(desk.state.roster().empty());
}

TEST_CASE("a change to one of three hundred athletes is shown and leaves the choice",
          "[prepare][page]") {
  Desk desk;
  std::vector<RosterAthlete> athletes(300, pitcher());
  for (std::size_t i = 0; i < athletes.size(); ++i) {
    athletes[i].id = fmt::format("A{:03}", i);
    athletes[i].mass = 80.0;
  }
  REQUIRE(desk.state.set_roster(athletes));
  auto* table = desk.page->roster_panel().findChild<QTableView*>();
  REQUIRE(table != nullptr);
  const auto mass_of = [&](int row) {
    return table->model()->index(row, static_cast<int>(RosterColumn::mass)).data().toString();
  };
  REQUIRE(table->model()->rowCount() == 300);
  table->setCurrentIndex(table->model()->index(7, static_cast<int>(RosterColumn::mass)));
  const QString before = mass_of(7), other = mass_of(8);
  athletes[7].mass += 3.0;
  REQUIRE(desk.state.set_roster(athletes));
  QApplication::processEvents();
  CHECK(mass_of(7) != before);
  CHECK(mass_of(8) == other);
  CHECK(table->currentIndex().row() == 7);
}

TEST_CASE("the station is written by form and by text, and saved", "[prepare][page]") {
  Desk desk;
  desk.page->show_part(PreparePage::station);
  desk.press(QStringLiteral("Begin with an example"));
  StationPanel& panel = desk.page->station_panel();
  REQUIRE(panel.draft().station() != nullptr);
  CHECK_FALSE(desk.page->busy_with().isEmpty());
  QDoubleSpinBox* height = nullptr;
  for (auto* field : panel.findChildren<QDoubleSpinBox*>())
    if (field->accessibleName() == QStringLiteral("Radar, Height, m")) height = field;
  REQUIRE(height != nullptr);
  height->setFocus();
  height->selectAll();
  QTest::keyClicks(height, QLocale().toString(1.35, 'f', 2));
  QTest::keyClick(height, Qt::Key_Return);
  CHECK(panel.draft().station()->session.radar->position.z() == Approx(1.35));
  CHECK_THAT(panel.draft().text(), Catch::Contains("position = [20.5, 0.0, 1.35] # measure") ||
                                       Catch::Contains("position = [20.5, 0.0, 1.35]  # measure"));
  desk.page->undo_stack()->undo();
  desk.wait([&] { return panel.draft().text() == new_station_text(); });
  CHECK(panel.draft().text() == new_station_text());
  CHECK(height->value() == Approx(1.2));
  desk.page->undo_stack()->redo();
  desk.wait([&] { return panel.draft().text() != new_station_text(); });

  // Text that makes no sense is told while it is typed, and is not saved.
  auto* text = panel.findChild<QPlainTextEdit*>();
  text->moveCursor(QTextCursor::Start);
  QTest::keyClicks(text, QStringLiteral("nonsense"));
  REQUIRE(desk.wait([&] { return panel.draft().fault().has_value(); }));
  CHECK_FALSE(desk.remarks().empty());
  CHECK_FALSE(desk.button(QStringLiteral("Save station"))->isEnabled());
  while (panel.draft().fault() && desk.page->undo_stack()->canUndo()) {
    desk.page->undo_stack()->undo();
    QTest::qWait(300);
  }
  REQUIRE_FALSE(panel.draft().fault());
  panel.save();
  CHECK(drivers::read_station(desk.folder / "station.toml"));
  CHECK(desk.page->busy_with().isEmpty());
}

TEST_CASE("a check runs on the station's ports and is kept with its date", "[prepare][page]") {
  Desk desk;
  const support::VirtualPlate back(desk.folder / "back"), lead(desk.folder / "lead");
  std::ofstream(desk.folder / "station.toml") << support::virtual_station_text(1000.0);
  Q_EMIT desk.state.lab_changed();
  desk.page->show_part(PreparePage::checks);
  ChecksPanel& panel = desk.page->checks_panel();
  panel.set_duration(1.5);
  CHECK(panel.standing() == QStringLiteral("not checked yet"));
  const auto run = [&](const char* title) {
    for (QPushButton* one : panel.findChildren<QPushButton*>())
      if (one->accessibleName() == QStringLiteral("Run: ") + QString::fromUtf8(title))
        QTest::keyClick(one, Qt::Key_Space);
  };
  run("Rates and losses");
  REQUIRE(desk.jobs.running().size() == 1);
  desk.idle();
  const auto kept = last_results(desk.state.lab());
  // A rate and a count of losses for each plate; nothing was lost on a virtual port.
  REQUIRE(kept.size() == 4);
  CHECK(kept[1].line.found == 0.0);
  CHECK(kept[1].line.pass());
  CHECK(panel.findChild<QTableWidget*>()->rowCount() == 4);
  CHECK(panel.standing() != QStringLiteral("not checked yet"));

  // Stopped: nothing is kept, and the next can run.
  panel.set_duration(30.0);
  run("Empty plates");
  desk.jobs.running().front().control->cancel();
  desk.idle();
  CHECK(last_results(desk.state.lab()).size() == 4);
  CHECK_THAT(desk.remarks(), Catch::Contains("Stopped"));
  run("Radar and fork");  // no frequency typed
  CHECK(desk.jobs.running().empty());
  CHECK_THAT(desk.remarks(), Catch::Contains("number"));
}

namespace {

/// Somebody's weight on the plates: N on each, and where on the back plate (lab, m).
struct Load {
  double until = 0.0;  // s
  double back = 0.0, lead = 0.0, x = 0.0, y = 0.0;
};
constexpr std::array weigh_in_loads{
    Load{2.5, 0.0, 0.0, 0.2, 0.0}, Load{7.0, 400.0, 380.0, 0.2, 0.0},
    Load{11.5, 700.0, 80.0, 0.06, 0.10}, Load{18.0, 700.0, 80.0, 0.06, -0.09}};

session::Session weigh_in_station() {
  session::Session s;
  s.id = "5b9f7c6e-0000-4000-8000-0000000000aa";
  s.started = "2026-03-01T09:30:00Z";
  s.athlete.id = "A01";
  s.athlete.mass = {79.0, 0.5};
  for (const char* name : {"back plate", "lead plate"}) {
    session::Device device{name, session::SampleType::int32, 1000.0, 1e6, {0.001, 0.0005}, {}};
    for (const char* channel : {"Fx", "Fy", "Fz"}) device.channels.push_back({channel, "N", 0.001});
    for (const char* channel : {"Mx", "My", "Mz"})
      device.channels.push_back({channel, "N m", 0.0001});
    s.devices.push_back(std::move(device));
  }
  for (const auto role : {session::PlateRole::back, session::PlateRole::lead}) {
    session::Plate plate;
    plate.role = role;
    plate.device = static_cast<int>(role);
    plate.channels = {0, 1, 2, 3, 4, 5};
    const double x = role == session::PlateRole::back ? 0.2 : 1.6;
    plate.description.corners = {
        Eigen::Vector3d{x + 0.3, -0.3, 0.0}, Eigen::Vector3d{x - 0.3, -0.3, 0.0},
        Eigen::Vector3d{x - 0.3, 0.3, 0.0}, Eigen::Vector3d{x + 0.3, 0.3, 0.0}};
    plate.accuracy = {0.001, 0.001, 0.5, 0.001};
    s.plates.push_back(plate);
  }
  return s;
}

/// A recording of `weigh_in_loads`. Plate axes: x as the lab's, y to the third-base side, z down,
/// so that a weight W at (px, py) is Fz = W, Mx = py W, My = -px W (moments about an
/// origin at the surface).
void write_weigh_in(const std::filesystem::path& path) {
  auto writer = session::Writer::create(path, weigh_in_station());
  REQUIRE(writer);
  constexpr int rows = 20;
  const int blocks = static_cast<int>(weigh_in_loads.back().until * 1000.0) / rows;
  for (int b = 0; b < blocks; ++b)
    for (int device = 0; device < 2; ++device) {
      std::vector<std::int32_t> samples;
      for (int r = 0; r < rows; ++r) {
        const int row = b * rows + r;
        const double time = 0.001 * row;
        std::size_t part = 0;
        while (time >= weigh_in_loads[part].until) ++part;
        const Load& load = weigh_in_loads[part];
        // A converter's last digits are never still.
        const double force = (device == 0 ? load.back : load.lead) + 0.2 * std::sin(0.7 * row);
        const double px = device == 0 ? load.x - 0.2 : 0.0, py = device == 0 ? -load.y : 0.0;
        samples.insert(samples.end(),
                       {0, 0, static_cast<std::int32_t>(std::lround(1e3 * force)),
                        static_cast<std::int32_t>(std::lround(1e4 * py * force)),
                        static_cast<std::int32_t>(std::lround(-1e4 * px * force)), 0});
      }
      session::Block block;
      block.first_sample = b * rows;
      block.ticks = DeviceTicks{1000 * b * rows};
      block.arrival = session_time(0.001 * (b + 1) * rows + 0.001);
      REQUIRE(writer->append(device, block, std::span<const std::int32_t>(samples)));
    }
  REQUIRE(writer->close());
}

}  // namespace

TEST_CASE("an athlete is weighed in on live plates; mass and foot are kept", "[prepare][page]") {
  Desk desk;
  write_weigh_in(desk.folder / "stands.h5");
  auto player = drivers::Player::open(desk.folder / "stands.h5", desk.folder / "ports");
  REQUIRE(player);
  {
    // The virtual station as the lab's, its ports by their whole paths.
    std::ifstream made(desk.folder / "ports/station.toml");
    std::string text((std::istreambuf_iterator<char>(made)), {});
    const std::string relative = "path = \"", whole = relative + (desk.folder / "ports/").string();
    for (std::size_t at = 0; (at = text.find(relative, at)) != std::string::npos;
         at += whole.size())
      text.replace(at, relative.size(), whole);
    std::ofstream(desk.folder / "station.toml") << text;
  }
  RosterAthlete athlete = pitcher();
  athlete.consent.clear();
  REQUIRE(desk.state.set_roster({athlete}));
  desk.state.choose_athlete("A01");
  desk.page->show_part(PreparePage::weigh_in);
  desk.press(QStringLiteral("Begin weigh-in"));
  CHECK_THAT(desk.remarks(), Catch::Contains("consent"));
  REQUIRE(desk.state.set_roster({pitcher()}));
  desk.press(QStringLiteral("Begin weigh-in"));
  WeighInPanel& panel = desk.page->weigh_in_panel();
  REQUIRE(desk.wait([&] { return desk.jobs.running().empty() && panel.runs(); }));
  QTest::qWait(400);  // until every port is open
  CHECK_FALSE(desk.page->busy_with().isEmpty());

  std::jthread playing([&](const std::stop_token& stop) {
    const auto begun = std::chrono::steady_clock::now();
    while (!stop.stop_requested()) {
      const auto more = player->play_until(std::chrono::steady_clock::now() - begun);
      if (!more || !*more) return;
      std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
  });
  QTest::qWait(1500);
  desk.press(QStringLiteral("The plates are empty"));
  QTest::qWait(4700);
  desk.press(QStringLiteral("Take this stand"));
  CHECK(desk.remarks().empty());
  QTest::qWait(4600);
  auto* picture = panel.findChild<FootPicture*>();
  REQUIRE(picture->scene().now);
  CHECK(picture->scene().now->y() == Approx(0.10).margin(0.005));
  if (const QByteArray to = qgetenv("MOUNDWORK_TEST_PICTURES"); !to.isEmpty())
    desk.page->grab().save(QString::fromLocal8Bit(to) + QStringLiteral("/weigh-in.png"));
  desk.press(QStringLiteral("Take the heel"));
  CHECK(desk.remarks().empty());
  QTest::qWait(4400);
  desk.press(QStringLiteral("Take the toes"));
  INFO(desk.remarks());
  REQUIRE(desk.wait([&] { return !panel.runs(); }));
  desk.idle();

  // (400 + 380) N over standard gravity.
  const double mass = 780.0 / standard_gravity;
  CHECK(desk.state.roster()[0].mass == Approx(mass).margin(0.1));
  const auto foot = foot_line_for(desk.state.lab(), "A01");
  REQUIRE(foot);
  CHECK(foot->heel.y() == Approx(0.10).margin(0.002));
  CHECK(foot->toe.y() == Approx(-0.09).margin(0.002));
  CHECK(foot->heel.x() == Approx(0.06).margin(0.002));
  CHECK(mass_for(desk.state.lab(), desk.state.roster()[0]).u < 0.5);
  desk.page->undo_stack()->undo();
  CHECK(std::isnan(desk.state.roster()[0].mass));
  desk.press(QStringLiteral("Drop today's last weigh-in"));
  CHECK_FALSE(last_weigh_in(desk.state.lab(), "A01", today(desk.state.lab())));
  CHECK_THAT(desk.remarks(), Catch::Contains("was dropped"));
}
