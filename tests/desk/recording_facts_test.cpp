// SPDX-License-Identifier: GPL-3.0-or-later
#include <QTest>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "app/desk/capture/live_day.h"
#include "support/drivers/virtual_plate.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

TEST_CASE("the window records nobody whose mass, height, birth or air cannot be", "[throw-page]") {
  const support::Folder folder;
  const LabFolder lab{folder.path()};
  std::ofstream(lab.station()) << support::virtual_station_text(1000.0);
  RecordingOrder good;
  good.lab = lab;
  good.athlete.id = "T1";
  good.mass = {80.0, 0.2};
  std::vector<std::pair<RecordingOrder, QString>> wrong;
  const auto add = [&](const char* words, auto change) {
    RecordingOrder order = good;
    change(order);
    wrong.emplace_back(order, QString::fromUtf8(words));
  };
  add("body mass", [](RecordingOrder& order) { order.mass.value = 850.0; });
  add("height", [](RecordingOrder& order) { order.athlete.height = 18.0; });
  add("lies ahead", [](RecordingOrder& order) { order.athlete.born = "2190-01-01"; });
  add("not a date", [](RecordingOrder& order) { order.athlete.born = "2007-02-29"; });
  add("air temperature", [](RecordingOrder& order) { order.air.temperature = {-270.0, 1.0}; });
  add("air pressure", [](RecordingOrder& order) { order.air.pressure = {100.0, 1.0}; });
  add("humidity", [](RecordingOrder& order) { order.air.relative_humidity = {45.0, 0.05}; });
  for (const auto& [order, words] : wrong) {
    CAPTURE(words.toStdString());
    LiveDay day;
    QString said;
    QObject::connect(&day, &LiveDay::failed, [&](const QString& sentence) { said = sentence; });
    const auto file = folder / "s.h5";
    day.begin(order, file);
    REQUIRE(QTest::qWaitFor([&] { return !said.isEmpty(); }, 10000));
    CAPTURE(said.toStdString());
    CHECK(said.contains(words));
    CHECK(day.phase() == LiveDay::Phase::idle);
    CHECK_FALSE(std::filesystem::exists(file));
    CHECK_FALSE(std::filesystem::exists(recording_mark(file)));
  }
}
