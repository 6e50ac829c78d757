// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/c3d/write.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>
#include <limits>
#include <stdexcept>

#include "core/c3d/file.h"
#include "core/c3d/force_platforms.h"
#include "core/plate/wrench.h"
#include "support/folder.h"

using namespace moundwork;

namespace {

// A plate pitched by atan(1/12), computed apart with NumPy, under a type 2 load (about the
// electrical origin), from the third of four frames on; 5 samples a frame.
c3d::Recording pitched_plate() {
  c3d::Recording recording;
  recording.frame_rate = 200.0;
  recording.samples_per_frame = 5;
  recording.frames = 4;
  const float load[] = {-90, 150, 800, -91600, -45600, 1245};
  const char* const names[] = {"Fx1", "Fy1", "Fz1", "Mx1", "My1", "Mz1"};
  for (int c = 0; c < 6; ++c) {
    c3d::RecordingChannel channel{names[c], c < 3 ? "N" : "Nmm", "", Eigen::ArrayXf::Zero(20)};
    channel.values.tail(10) = load[c];
    recording.channels.push_back(channel);
  }
  c3d::RecordingPlatform platform;
  platform.corners = {Eigen::Vector3f{798.963727F, -200, 225.086356F},
                      Eigen::Vector3f{201.036273F, -200, 274.913644F},
                      Eigen::Vector3f{201.036273F, 200, 274.913644F},
                      Eigen::Vector3f{798.963727F, 200, 225.086356F}};
  platform.origin = {1.5F, -2.0F, -40.0F};
  platform.channels = {0, 1, 2, 3, 4, 5};
  recording.platforms = {platform};
  c3d::RecordingPoint heel{"HEEL", "heel", Eigen::Array<float, 4, 3>::Constant(12.5F)};
  heel.xyz(1, 2) = std::numeric_limits<float>::quiet_NaN();
  recording.points = {heel};
  recording.events = {{"lead_contact", "Left", "foot down", 0.0125},
                      {"release", "General", "ball leaves", 72.5}};
  recording.subject = "J\xc3\xb6rn Tal";
  recording.software = "Moundwork";
  recording.version = "1";
  recording.notes = {{"LONG", std::string(400, 'x')}, {"EMPTY", ""}};
  return recording;
}

}  // namespace

TEST_CASE("a written C3D file reads back as what it was made from", "[c3d][write]") {
  const auto recording = pitched_plate();
  const auto bytes = c3d::to_bytes(recording);
  REQUIRE(bytes);
  CHECK(bytes->size() % 512 == 0);
  const auto file = c3d::parse(*bytes, "made");
  REQUIRE(file);
  CHECK(file->remarks.empty());
  CHECK(file->point_rate == 200.0);
  CHECK(file->analog.rate == 1000.0);
  CHECK(file->frame_count == 4);
  CHECK(file->samples_per_frame == 5);
  const auto& raw = std::get<std::vector<float>>(file->analog.raw);
  REQUIRE(raw.size() == 120);
  for (std::size_t i = 0; i < 20; ++i)
    for (std::size_t c = 0; c < 6; ++c)
      CHECK(raw[6 * i + c] == recording.channels[c].values(static_cast<Eigen::Index>(i)));
  const auto heel = c3d::find_point(*file, "heel");
  REQUIRE(heel);
  const auto track = c3d::trajectory(*file, *heel);
  CHECK(track(0, 0) == Approx(0.0125).epsilon(1e-6));
  CHECK(std::isnan(track(1, 0)));  // a point with one bad coordinate is nowhere

  const auto& p = file->parameters;
  CHECK(p.at("EVENT:LABELS").texts == std::vector<std::string>{"lead_contact", "release"});
  CHECK(p.at("EVENT:CONTEXTS").texts == std::vector<std::string>{"Left", "General"});
  // C3D user guide: minutes, then seconds.
  const auto& times = p.at("EVENT:TIMES").numbers;
  REQUIRE(times.size() == 4);
  CHECK(times[0] == 0.0);
  CHECK(times[1] == Approx(0.0125).epsilon(1e-6));
  CHECK(times[2] == 1.0);
  CHECK(times[3] == Approx(12.5).epsilon(1e-6));
  CHECK(p.at("SUBJECTS:NAMES").texts.at(0) == "J\xc3\xb6rn Tal");
  CHECK(p.at("MOUNDWORK:LONG").texts.at(0) == std::string(255, 'x'));
  CHECK(p.at("MOUNDWORK:EMPTY").texts.at(0).empty());
  CHECK(p.at("POINT:UNITS").texts.at(0) == "mm");
}

TEST_CASE("a written force plate gives the worked example's force and point", "[c3d][write]") {
  const auto bytes = c3d::to_bytes(pitched_plate());
  REQUIRE(bytes);
  const auto file = c3d::parse(*bytes, "made");
  REQUIRE(file);
  const auto plates = c3d::force_platforms(*file);
  REQUIRE(plates);
  REQUIRE(plates->size() == 1);
  REQUIRE(plates->front());
  const auto& plate = *plates->front();
  CHECK(plate.remarks.empty());
  CHECK(plate.description.reaction_sign == -1.0);
  const auto map = plate::WrenchMap::make(plate.description);
  REQUIRE(map);
  const plate::WrenchSeries wrench = (*map)(c3d::scaled(file->analog, plate.channels));
  const auto cop = plate::centre_of_pressure(wrench, map->frame(), 50.0);
  CHECK(std::isnan(cop(0, 0)));
  // Computed apart with NumPy; corners are single precision here.
  CHECK(wrench(19, 0) == Approx(156.125502125).margin(1e-3));
  CHECK(wrench(19, 1) == Approx(150.0).margin(1e-3));
  CHECK(wrench(19, 2) == Approx(789.762513409).margin(1e-3));
  CHECK(cop(19, 0) == Approx(0.559792745495).margin(1e-6));
  CHECK(cop(19, 1) == Approx(0.120).margin(1e-6));
  CHECK(cop(19, 2) == Approx(0.245017271209).margin(1e-6));
}

TEST_CASE("what C3D cannot hold is a sentence, what does not fit a broken promise",
          "[c3d][write]") {
  auto recording = pitched_plate();
  recording.points.clear();
  recording.channels.resize(6);
  recording.frames = 70000;
  for (auto& channel : recording.channels) channel.values = Eigen::ArrayXf::Zero(350000);
  const auto refused = c3d::to_bytes(recording);
  REQUIRE(!refused);
  CHECK(refused.error().sentence().find("70000") != std::string::npos);

  auto short_channel = pitched_plate();
  short_channel.channels[2].values.conservativeResize(19);
  CHECK_THROWS_AS(c3d::to_bytes(short_channel), std::logic_error);
  auto no_channel = pitched_plate();
  no_channel.platforms[0].channels[5] = 6;
  CHECK_THROWS_AS(c3d::to_bytes(no_channel), std::logic_error);
  auto not_a_number = pitched_plate();
  not_a_number.channels[0].values(3) = std::nanf("");
  CHECK_THROWS_AS(c3d::to_bytes(not_a_number), std::logic_error);

  const auto full = c3d::write(pitched_plate(), "/dev/full");
  REQUIRE(!full);
  CHECK(full.error().sentence().find("/dev/full") != std::string::npos);
}
