// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/traces.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "core/output/throw_c3d.h"
#include "core/output/throw_windows.h"

using namespace moundwork;

namespace {

// A level 600 x 400 mm plate about (x, 0, 0), z of its own pointing down, under `newtons` straight
// down on its middle plus a slope of 100 N/s along x.
foot::PlateWindow window(double start, double rate, double x, double newtons, double length) {
  foot::PlateWindow w;
  w.start = start;
  w.step = 1.0 / rate;
  w.frame.rotation.col(0) = Eigen::Vector3d::UnitX();
  w.frame.rotation.col(1) = -Eigen::Vector3d::UnitY();
  w.frame.rotation.col(2) = -Eigen::Vector3d::UnitZ();
  w.frame.centre = {x, 0.0, 0.0};
  w.frame.up = Eigen::Vector3d::UnitZ();
  w.frame.half_size = {0.3, 0.2};
  w.wrench.setZero(static_cast<Eigen::Index>(length * rate), 6);
  w.wrench.col(2).setConstant(newtons);
  for (Eigen::Index i = 0; i < w.size(); ++i)
    w.wrench(i, 0) = 100.0 * w.time(static_cast<double>(i));
  return w;
}

const std::vector<double>& column(const output::Table& table, const std::string& name) {
  for (const auto& one : table.columns)
    if (one.name == name) return std::get<std::vector<double>>(one.cells);
  throw std::runtime_error("no column " + name);
}

}  // namespace

TEST_CASE("a trace invents no samples and no centre of pressure", "[output]") {
  auto w = window(2.0, 1000.0, 0.1, 400.0, 0.1);
  w.wrench.col(2).head(10).setConstant(49.0);
  // Samples 20 to 24 were lost: the last before and the first after are there.
  w.gaps = {{w.time(19), w.time(25)}};
  session::FootLine line;
  line.heel = {0.1, 0.13, 0.0};
  line.toe = {0.1, -0.13, 0.0};
  const auto table = output::trace_table(w, line, {});
  REQUIRE(table.row_count() == 100);
  for (std::size_t i = 0; i < 100; ++i) {
    CAPTURE(i);
    const bool lost = i >= 20 && i <= 24;
    const bool light = i < 10;
    CHECK(std::isnan(column(table, "force_z")[i]) == lost);
    CHECK(std::isnan(column(table, "cop_x")[i]) == (lost || light));
    CHECK(column(table, "time")[i] == Approx(2.0 + 0.001 * static_cast<double>(i)));
    if (lost || light) continue;
    CHECK(column(table, "cop_x")[i] == Approx(0.1));
    CHECK(column(table, "heel_toe")[i] == Approx(50.0));  // the middle of the foot
  }
  CHECK(output::trace_table(w, {}, {}).columns.size() == table.columns.size() - 1);
}

TEST_CASE("a C3D recording of plates at two rates is at the times of the faster", "[output]") {
  output::PlatesOfThrow plates{
      {{session::PlateRole::back, "back", window(10.0, 1000.0, 0.0, 500.0, 1.0)},
       {session::PlateRole::lead, "lead", window(10.0003, 2000.0, 1.6, 900.0, 0.9)}}};
  plates.plates[0].window.gaps = {{10.5, 10.51}};
  output::ExportedSession session;
  session.session.id = "one";
  session.session.athlete.name = "Mara Quill";
  session.session.athlete.throws = session::Hand::left;
  session::ResultThrow thrown;
  thrown.number = 3;
  thrown.events = {{"lead_contact", {10.4, 0.001}, "s"}, {"release", {20.0, 0.001}, "s"}};
  const auto made = output::throw_recording(session, thrown, plates, {});
  REQUIRE(made);
  CHECK(made->frame_rate * made->samples_per_frame == Approx(2000.0));
  CHECK(made->frame_rate <= 250.0);
  // Straight lines between samples give a straight line: 100 N/s, the foot pushing the other way.
  const auto& back = made->channels[0].values;
  const auto& lead = made->channels[6].values;
  for (Eigen::Index i = 0; i < back.size(); i += 97) {
    const double time = 10.0003 + static_cast<double>(i) / 2000.0;
    CHECK(static_cast<double>(back(i)) == Approx(-100.0 * time).epsilon(1e-6));
    CHECK(static_cast<double>(lead(i)) == Approx(-100.0 * time).epsilon(1e-6));
  }
  CHECK(made->channels[2].values(0) == 500.0F);  // standing is positive where z points down
  CHECK(made->channels[8].values(0) == 900.0F);
  const auto note = [&](const std::string& name) {
    for (const auto& [key, text] : made->notes)
      if (key == name) return text;
    return std::string("none");
  };
  CHECK(note("RESAMPLED") == "plate 1");
  CHECK(note("GAPS_S") == "back 0.4997-0.5097");
  // Release lies outside, and a left-hander's lead foot is the right one.
  REQUIRE(made->events.size() == 1);
  CHECK(made->events[0].context == "Right");
  CHECK(made->events[0].time == Approx(0.3997));
  REQUIRE(c3d::to_bytes(*made));

  plates.plates[1].window.start = 20.0;
  const auto apart = output::throw_recording(session, thrown, plates, {});
  REQUIRE(!apart);
  CHECK(apart.error().sentence().find("same time") != std::string::npos);
}
