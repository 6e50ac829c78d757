// SPDX-License-Identifier: GPL-3.0-or-later
// What the window shows where a foot stands on several plates.
#include <QCheckBox>
#include <QComboBox>
#include <QDoubleSpinBox>
#include <QTest>
#include <QUndoStack>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <thread>

#include "app/desk/capture/device_words.h"
#include "app/desk/capture/sweep_traces.h"
#include "app/desk/capture/throw_list.h"
#include "app/desk/capture/throw_page.h"
#include "app/desk/plot/foot_picture.h"
#include "app/desk/plot/station_drawing.h"
#include "app/desk/prepare/checks_panel.h"
#include "app/desk/prepare/prepare_page.h"
#include "app/desk/prepare/station_fields.h"
#include "app/desk/prepare/station_form.h"
#include "app/desk/prepare/station_panel.h"
#include "app/desk/prepare/station_text.h"
#include "app/desk/prepare/weigh_in_words.h"
#include "app/desk/review/review_page.h"
#include "app/desk/review/throw_traces.h"
#include "app/desk/review/trace_plot.h"
#include "core/base/wall_time.h"
#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/pitch/session_throws.h"
#include "core/session/reader.h"
#include "drivers/virtual/player.h"
#include "drivers/virtual/station_text.h"
#include "support/folder.h"
#include "support/split_lead_plate.h"

using namespace moundwork;
using namespace moundwork::desk;
using namespace std::chrono_literals;

namespace {

/// The example to begin with, and a second lead plate, nearer to home, on a device of its own.
std::string two_lead_plates() {
  const std::string text = new_station_text();
  const auto station = drivers::parse_station(text, "station.toml");
  REQUIRE(station);
  session::Session session = station->session;
  session.devices.push_back(session.devices.at(1));
  session.devices.back().name = "second lead plate";
  session.plates.push_back(session.plates.at(1));
  session.plates.back().device = static_cast<int>(session.devices.size()) - 1;
  for (Eigen::Vector3d& corner : session.plates.back().description.corners) corner.x() += 0.95;
  return drivers::station_text(session);
}

drivers::Station station_of(const std::string& text) {
  const auto station = drivers::parse_station(text, "station.toml");
  if (!station) FAIL(station.error().sentence());
  return *station;
}

void save_picture(QWidget& widget, const char* name) {
  const QByteArray to = qgetenv("MOUNDWORK_TEST_PICTURES");
  if (to.isEmpty()) return;
  QTest::qWait(200);  // plots are drawn when nothing else waits
  widget.grab().save(QString::fromLocal8Bit(to) + u'/' + QString::fromLatin1(name));
}

/// A simulated session of so many pitches whose lead plate is two.
std::filesystem::path split_session(const support::Folder& folder, int pitches) {
  model::SessionSettings settings;
  settings.seed = 5;
  settings.performance.pitches = pitches;
  settings.station.errors.loss = false;
  const auto made = model::simulate_session(folder / "made.h5", settings);
  if (!made) FAIL(made.error().sentence());
  support::split_lead_plate(folder / "made.h5", folder / "split.h5");
  return folder / "split.h5";
}

void measure(const std::filesystem::path& file) {
  const auto reader = session::Reader::open(file);
  REQUIRE(reader);
  const auto analysis = pitch::analyse(*reader, {});
  if (!analysis) FAIL(analysis.error().sentence());
  REQUIRE(session::append_results(file, pitch::to_results(*analysis, {}, iso_now())));
}

}  // namespace

TEST_CASE("each of a foot's plates is found and changed in the form", "[several-plates]") {
  const std::string text = two_lead_plates();
  const drivers::Station station = station_of(text);
  CHECK(form_plates(station, FormColumn::back_plate) == QStringList{QStringLiteral("back")});
  CHECK(form_plates(station, FormColumn::lead_plate) ==
        QStringList{QStringLiteral("first lead"), QStringLiteral("second lead")});
  CHECK(form_plates(station, FormColumn::radar).isEmpty());
  CHECK(*form_number(station, FormColumn::lead_plate, FormRow::x) == Approx(1.6));
  CHECK(*form_number(station, FormColumn::lead_plate, FormRow::x, 1) == Approx(2.55));
  CHECK_FALSE(form_number(station, FormColumn::lead_plate, FormRow::x, 2));
  CHECK_FALSE(form_number(station, FormColumn::back_plate, FormRow::x, 1));

  for (const FormRow row :
       {FormRow::x, FormRow::z, FormRow::length, FormRow::delay, FormRow::rate}) {
    CAPTURE(static_cast<int>(row));
    const double value = 1.25 * *form_number(station, FormColumn::lead_plate, row, 1);
    const auto changed = with_form_number(text, station, FormColumn::lead_plate, row, value, 1);
    if (!changed) FAIL(changed.error().sentence());
    const drivers::Station after = station_of(*changed);
    CHECK(*form_number(after, FormColumn::lead_plate, row, 1) == Approx(value).margin(1e-4));
    CHECK(*form_number(after, FormColumn::lead_plate, row, 0) ==
          Approx(*form_number(station, FormColumn::lead_plate, row, 0)));
    CHECK(*form_number(after, FormColumn::back_plate, row) ==
          Approx(*form_number(station, FormColumn::back_plate, row)));
  }
  const auto port = with_form_port(text, station, FormColumn::lead_plate, "192.168.7.20:4001", 1);
  REQUIRE(port);
  CHECK(*form_port(station_of(*port), FormColumn::lead_plate, 1) == "192.168.7.20:4001");
  CHECK(*form_port(station_of(*port), FormColumn::lead_plate, 0) ==
        *form_port(station, FormColumn::lead_plate, 0));

  // All change sides together.
  const auto swapped = with_roles_swapped(text, station);
  REQUIRE(swapped);
  const drivers::Station other = station_of(*swapped);
  CHECK(form_plates(other, FormColumn::back_plate).size() == 2);
  CHECK(*form_number(other, FormColumn::back_plate, FormRow::x, 1) == Approx(2.55));
  CHECK(*form_number(other, FormColumn::lead_plate, FormRow::x) ==
        Approx(*form_number(station, FormColumn::back_plate, FormRow::x)));
}

TEST_CASE("Prepare shows every plate by name: form, drawing, checks", "[several-plates]") {
  const support::Folder folder;
  std::ofstream(folder / "station.toml") << two_lead_plates();
  DeskState state{Preferences{}};
  Jobs jobs;
  REQUIRE(state.open_lab(folder.path()));
  PreparePage page(state, jobs);
  page.resize(1340, 620);
  page.show();
  page.show_part(PreparePage::station);
  while (!jobs.running().empty()) QTest::qWait(10);
  StationPanel& panel = page.station_panel();
  const auto choice = [&](const char* name) {
    for (auto* box : panel.findChildren<QComboBox*>())
      if (box->accessibleName() == QString::fromLatin1(name)) return box;
    FAIL("no choice " << name);
    return static_cast<QComboBox*>(nullptr);
  };
  QComboBox* plates = choice("Lead plate, which");
  CHECK(plates->isVisible());
  CHECK_FALSE(choice("Back plate, which")->isVisible());
  REQUIRE(plates->count() == 2);
  CHECK(plates->itemText(1) == QStringLiteral("Second lead"));
  const auto field = [&](const char* name) {
    for (auto* one : panel.findChildren<QDoubleSpinBox*>())
      if (one->accessibleName() == QString::fromLatin1(name)) return one;
    FAIL("no field " << name);
    return static_cast<QDoubleSpinBox*>(nullptr);
  };
  QDoubleSpinBox* along = field("Lead plate, Toward home, m");
  CHECK(along->value() == Approx(1.6));
  plates->setFocus();
  QTest::keyClick(plates, Qt::Key_Down);
  REQUIRE(plates->currentIndex() == 1);
  CHECK(along->value() == Approx(2.55));
  along->setFocus();
  along->selectAll();
  QTest::keyClicks(along, QLocale().toString(2.6, 'f', 1));
  QTest::keyClick(along, Qt::Key_Return);
  CHECK(*form_number(*panel.draft().station(), FormColumn::lead_plate, FormRow::x, 1) ==
        Approx(2.6));
  CHECK(*form_number(*panel.draft().station(), FormColumn::lead_plate, FormRow::x, 0) ==
        Approx(1.6));
  CHECK(plates->currentIndex() == 1);  // and goes on with the same plate
  const auto* drawing = panel.findChild<StationDrawing*>();
  CHECK(drawing->accessibleDescription().contains(QStringLiteral("first lead plate: ")));
  CHECK(drawing->accessibleDescription().contains(QStringLiteral("second lead plate: ")));
  save_picture(page, "prepare-station.png");

  page.show_part(PreparePage::checks);
  auto* listed = [&]() -> QComboBox* {
    for (auto* box : page.checks_panel().findChildren<QComboBox*>())
      if (box->accessibleName() == QStringLiteral("Plate for the weight")) return box;
    return nullptr;
  }();
  REQUIRE(listed != nullptr);
  REQUIRE(listed->count() == 3);
  CHECK(listed->itemText(0) == QStringLiteral("back plate"));
  CHECK(listed->itemText(2) == QStringLiteral("second lead plate"));
  save_picture(page, "prepare-checks.png");
}

TEST_CASE("a lamp names the plate that has no zero yet, where its device has several",
          "[several-plates]") {
  DeviceSight sight;
  sight.state = drivers::LinkState::streaming;
  sight.zeroed = false;
  sight.not_zeroed = "second lead plate";
  CHECK(lamp_of(sight).words.contains(QStringLiteral("leave the second lead plate empty")));
}

TEST_CASE("a weigh-in says which foot stands", "[several-plates]") {
  const auto on = [](session::PlateRole role, float force) {
    drivers::LiveTrace foot;
    foot.role = role;
    foot.bin = 0.005;
    for (int i = 0; i < 40; ++i) {
      drivers::LiveBin bin;
      bin.force = bin.least = bin.greatest = {0.0F, 0.0F, force};
      foot.bins.push_back(bin);
    }
    return foot;
  };
  // 40 kg and 20 kg at 9.80665 m/s2 (CGPM 1901).
  CHECK(
      feet_words(
          {1.0, {on(session::PlateRole::back, 392.27F), on(session::PlateRole::lead, 196.13F)}}) ==
      QStringLiteral("Back foot 40.0 kg, lead foot 20.0 kg."));
}

TEST_CASE("all plates under the back foot are in its picture", "[several-plates]") {
  const auto swapped = with_roles_swapped(two_lead_plates(), station_of(two_lead_plates()));
  REQUIRE(swapped);
  const session::Session session = station_of(*swapped).session;
  const auto plates = back_plate_corners(session);
  REQUIRE(plates.size() == 2);
  CHECK(plates[0] == session.plates[1].description.corners);
  CHECK(plates[1] == session.plates[2].description.corners);
}

TEST_CASE("Review draws a foot's sum, and single plates when they are asked for",
          "[several-plates]") {
  const support::Folder folder;
  const auto file = split_session(folder, 1);
  measure(file);
  measure(folder / "made.h5");
  DeskState state{Preferences{}};
  Jobs jobs;
  ReviewPage page(state, jobs);
  page.resize(1300, 640);
  page.show();
  REQUIRE(state.open_session(file));
  REQUIRE(state.session()->results().throws.size() == 1);
  auto* plot = page.findChild<TracePlot*>();
  REQUIRE(QTest::qWaitFor([&] { return !plot->markers().empty(); }, 30000));
  QCheckBox* box = nullptr;
  for (auto* one : page.findChildren<QCheckBox*>())
    if (QString(one->text()).remove(u'&') == QStringLiteral("Single plates")) box = one;
  REQUIRE(box != nullptr);
  REQUIRE(box->isVisible());
  const int without = plot->graphCount();
  const auto named = [&](const char* name) -> QCPGraph* {
    for (int i = 0; i < plot->graphCount(); ++i)
      if (plot->graph(i)->name() == QString::fromLatin1(name)) return plot->graph(i);
    return nullptr;
  };
  CHECK(named("first lead plate") == nullptr);
  QTest::keyClick(box, Qt::Key_Space);
  REQUIRE(box->isChecked());
  CHECK(plot->graphCount() == without + 4);
  QCPGraph* first = named("first lead plate");
  QCPGraph* second = named("second lead plate");
  QCPGraph* lead = named("lead foot");
  REQUIRE(first != nullptr);
  REQUIRE(second != nullptr);
  REQUIRE(lead != nullptr);
  CHECK(first->pen().style() != second->pen().style());
  // Each carries half of it: forward force about its least, after lead contact.
  for (const double time : {0.02, 0.05, 0.1}) {
    const auto at = [time](QCPGraph* graph) { return graph->data()->findBegin(time)->value; };
    CHECK(at(first) + at(second) == Approx(at(lead)).margin(1.0));
    CHECK(at(first) == Approx(0.5 * at(lead)).margin(3.0));
  }
  save_picture(page, "review.png");

  // Where one plate serves each foot there is nothing to ask for.
  REQUIRE(state.open_session(folder / "made.h5"));
  REQUIRE(QTest::qWaitFor([&] { return plot->graphCount() == without && !plot->markers().empty(); },
                          30000));
  CHECK_FALSE(box->isVisible());
}

TEST_CASE("a throw that lands on two plates is seen live, its foot as one", "[several-plates]") {
  const support::Folder folder;
  const auto file = split_session(folder, 1);
  const auto reader = session::Reader::open(file);
  REQUIRE(reader);
  const LabFolder lab{folder / "lab"};
  DeskState state{Preferences{}};
  Jobs jobs;
  REQUIRE(state.open_lab(lab.root));
  RosterAthlete athlete;
  athlete.id = reader->session().athlete.id;
  athlete.name = reader->session().athlete.name;
  athlete.born = reader->session().athlete.born;
  athlete.throws = reader->session().athlete.throws;
  athlete.mass = reader->session().athlete.mass.value;
  athlete.height = reader->session().athlete.height.value;
  athlete.consent = athlete.guardian_consent = "2026-01-01";
  REQUIRE(state.set_roster({athlete}));
  state.choose_athlete(athlete.id);
  auto player = drivers::Player::open(file, lab.root);
  if (!player) FAIL(player.error().sentence());
  ThrowPage page(state, jobs);
  page.resize(1366, 640);
  page.show();
  page.activateWindow();
  REQUIRE(QTest::qWaitForWindowActive(&page));
  QTest::keyClick(&page, Qt::Key_F9);
  REQUIRE(QTest::qWaitFor([&] { return page.day().phase() == LiveDay::Phase::recording; }, 10000));
  std::atomic<bool> over{false};
  std::jthread playing([&](const std::stop_token& stop) {
    const auto begun = std::chrono::steady_clock::now();
    while (!stop.stop_requested()) {
      const auto more = player->play_until(std::chrono::steady_clock::now() - begun);
      if (!more || !*more) break;
      std::this_thread::sleep_for(2ms);
    }
    over = true;
  });
  REQUIRE(QTest::qWaitFor([&] { return page.throws().rowCount() == 1 || over; }, 60000));
  QTest::qWait(300);
  REQUIRE(page.throws().rowCount() == 1);
  const drivers::LiveFeet feet = page.day().feet(8.0);
  REQUIRE(feet.traces.size() == 2);
  const drivers::LiveTrace* lead = feet.find(session::PlateRole::lead);
  double peak = 0.0;
  for (const drivers::LiveBin& bin : lead->bins)
    if (std::isfinite(bin.force[2])) peak = std::max(peak, static_cast<double>(bin.force[2]));
  const session::ResultThrow& thrown = *page.throws().at(0);
  const Measured found = measured_of(thrown, definitions::Quantity::vertical_peak_force);
  REQUIRE(found.known());
  // The picture's peak is that of the number, within what the number's low-pass takes.
  CHECK(peak == Approx(found.value).epsilon(0.05));
  save_picture(page, "throw.png");
  playing.request_stop();
  QTest::keyClick(&page, Qt::Key_F9);
  REQUIRE(QTest::qWaitFor(
      [&] { return page.day().phase() == LiveDay::Phase::idle && jobs.running().empty(); }, 60000));
}
