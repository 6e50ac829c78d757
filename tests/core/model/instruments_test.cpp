// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/instruments.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "core/base/units.h"
#include "core/model/plate_instrument.h"
#include "core/model/radar_lines.h"
#include "core/plate/wrench.h"

using namespace moundwork;
using namespace moundwork::model;

namespace {

// What a sink received of one device.
struct Received {
  std::vector<session::Block> blocks;
  std::vector<std::int64_t> block_sizes;
  std::vector<double> raw;  // row-major
};

struct Recording {
  ModelAthlete athlete;
  Station station;
  Performance performance;
  std::map<int, Received> devices;
  std::vector<session::RadarReading> readings;
  std::vector<LostBlock> lost;
};

void play_to(Recording& made, const StationSettings& settings, std::uint64_t seed) {
  Sink sink;
  sink.samples = [&](int device, const session::Block& block, const session::RawSamples& samples) {
    Received& to = made.devices[device];
    const std::size_t before = to.raw.size();
    std::visit([&](const auto& span) { to.raw.insert(to.raw.end(), span.begin(), span.end()); },
               samples);
    to.blocks.push_back(block);
    to.block_sizes.push_back(static_cast<std::int64_t>(
        (to.raw.size() - before) /
        made.station.stated.devices[static_cast<std::size_t>(device)].channels.size()));
    return Result<void>{};
  };
  sink.reading = [&](const session::RadarReading& reading) {
    made.readings.push_back(reading);
    return Result<void>{};
  };
  const auto lost = record(made.performance, made.station, settings, seed, sink);
  REQUIRE(lost);
  made.lost = *lost;
}

Recording play(const StationSettings& settings, std::uint64_t seed,
               const PerformanceSettings& performance = {
                   .pitches = 1, .activities = false, .heel_cue = false}) {
  Random random(seed, 0);
  Recording made;
  made.athlete = draw_athlete(random, 1);
  made.station = draw_station(made.athlete, settings, random);
  made.performance = perform_session(made.athlete, made.station, performance, random);
  play_to(made, settings, seed);
  return made;
}

// Lab wrench of a plate by the product's own plate code, the C3D formulas tested on their own.
plate::WrenchSeries wrench_of(const Recording& made, std::size_t plate_index) {
  const session::Plate& plate = made.station.stated.plates[plate_index];
  const auto& device = made.station.stated.devices[static_cast<std::size_t>(plate.device)];
  const auto& received = made.devices.at(plate.device);
  const auto columns = static_cast<Eigen::Index>(device.channels.size());
  const Eigen::Index rows = static_cast<Eigen::Index>(received.raw.size()) / columns;
  Eigen::MatrixXd scaled(rows, static_cast<Eigen::Index>(plate.channels.size()));
  for (Eigen::Index i = 0; i < rows; ++i)
    for (std::size_t j = 0; j < plate.channels.size(); ++j) {
      const auto& channel = device.channels[static_cast<std::size_t>(plate.channels[j])];
      scaled(i, static_cast<Eigen::Index>(j)) =
          (received.raw[static_cast<std::size_t>(i * columns + plate.channels[j])] -
           channel.offset) *
          channel.scale;
    }
  return (*plate::WrenchMap::make(plate.description))(scaled);
}

}  // namespace

TEST_CASE("with no errors every plate type gives the true force and point back") {
  using plate::PlateType;
  for (const auto type :
       {PlateType::six_component, PlateType::eight_component, PlateType::six_component_matrix}) {
    StationSettings settings;
    settings.plate_type = type;
    settings.errors = ErrorSources::none();
    const Recording made = play(settings, 4);
    const Pitch& pitch = made.performance.throws.front().pitch;
    for (std::size_t p = 0; p < 2; ++p) {
      const Contact& foot = p == 0 ? pitch.back : pitch.lead;
      const auto wrench = wrench_of(made, p);
      const auto frame = plate::plate_frame(made.station.stated.plates[p].description);
      const auto cop = plate::centre_of_pressure(wrench, *frame, 50.0);
      const auto twist = plate::free_moment(wrench, *frame, cop);
      const DeviceClock& clock = made.station.truth.clocks[p];
      int compared = 0;
      for (Eigen::Index i = 0; i < wrench.rows(); ++i) {
        const double t = clock.session_time(static_cast<double>(i) / settings.rate);
        const FootLoad load = foot.load(t);
        // Counts of at most 10000 N / 2^23, through matrices of the order of one: 10 mN; the
        // voltages of type 4 are 1 kN/V x 10 V / 2^23, a step alike.
        REQUIRE((wrench.row(i).head<3>().transpose().matrix() - load.force).norm() < 0.02);
        if (load.force.z() < 100.0) continue;
        ++compared;
        REQUIRE(std::abs(cop(i, 0) - load.point.x()) < 1e-4);
        REQUIRE(std::abs(cop(i, 1) - load.point.y()) < 1e-4);
        REQUIRE(std::abs(twist(i) - load.free_moment) < 0.02);
      }
      CHECK(compared > 500);
    }
  }
}

TEST_CASE("a plate's errors do to force and point what they say") {
  Random random(2, 0);
  const ModelAthlete athlete = draw_athlete(random, 1);
  StationSettings settings;
  settings.errors = ErrorSources::none();
  const Station station = draw_station(athlete, settings, random);
  const session::Plate& plate = station.stated.plates[1];
  const auto& device = station.stated.devices[static_cast<std::size_t>(plate.device)];
  PlateErrors errors;
  errors.gain = {0.01, -0.02, 0.03};
  errors.crosstalk = {0.004, -0.005};
  errors.pressure_point = {0.002, -0.003};
  PlateInstrument instrument(plate, device, errors, 1);
  // Plate axes: 1000 N down, 100 N along, at (50, -30) mm of the surface centre.
  PlateLoad load;
  load << 100.0, 0.0, 1000.0, -30.0, -50.0, 0.0;
  std::int32_t counts[6];
  instrument.sample(0.0, load, Eigen::Vector3d::Zero(), counts);
  Eigen::MatrixXd scaled(1, 6);
  for (int i = 0; i < 6; ++i)
    scaled(0, i) = counts[i] * device.channels[static_cast<std::size_t>(i)].scale;
  const auto lab = (*plate::WrenchMap::make(plate.description))(scaled);
  const auto& frame = instrument.frame();
  const Eigen::Vector3d seen =
      -(frame.rotation.transpose() * lab.row(0).head<3>().transpose().matrix());
  // By hand: 1.01 x 100 + 0.004 x 1000; -0.005 x 1000; 1.03 x 1000.
  CHECK(seen.x() == Approx(105.0).margin(0.01));
  CHECK(seen.y() == Approx(-5.0).margin(0.01));
  CHECK(seen.z() == Approx(1030.0).margin(0.01));
  const auto cop = plate::centre_of_pressure(lab, frame, 50.0);
  const Eigen::Vector3d local =
      frame.rotation.transpose() * (cop.row(0).transpose().matrix() - frame.centre);
  CHECK(local.x() == Approx(0.052).margin(1e-5));
  CHECK(local.y() == Approx(-0.033).margin(1e-5));
}

TEST_CASE("a channel beyond its range clips at its stated ends") {
  Random random(2, 0);
  const ModelAthlete athlete = draw_athlete(random, 1);
  StationSettings settings;
  settings.errors = ErrorSources::none();
  settings.vertical_range = 500.0;
  const Station station = draw_station(athlete, settings, random);
  const auto& device = station.stated.devices[0];
  PlateInstrument instrument(station.stated.plates[0], device, {}, 1);
  PlateLoad load = PlateLoad::Zero();
  std::int32_t counts[6];
  load[2] = 600.0;
  instrument.sample(0.0, load, Eigen::Vector3d::Zero(), counts);
  CHECK(counts[2] == static_cast<std::int32_t>(device.channels[2].highest));
  load[2] = -600.0;
  instrument.sample(0.0, load, Eigen::Vector3d::Zero(), counts);
  CHECK(counts[2] == static_cast<std::int32_t>(device.channels[2].lowest));
}

TEST_CASE("the same seed records the same samples and another seed does not") {
  const Recording one = play({}, 11);
  const Recording again = play({}, 11);
  const Recording other = play({}, 12);
  REQUIRE(one.devices.size() == 3);
  for (const auto& [device, received] : one.devices) {
    CHECK(received.raw == again.devices.at(device).raw);
    CHECK(received.raw != other.devices.at(device).raw);
  }
  REQUIRE(one.readings.size() == again.readings.size());
  for (std::size_t i = 0; i < one.readings.size(); ++i)
    CHECK(one.readings[i].text == again.readings[i].text);
}

TEST_CASE("blocks arrive in order, after their last sample, and lost ones leave their trace") {
  StationSettings settings;
  settings.lost_blocks_per_hour = 2000.0;
  const Recording made = play(settings, 5);
  std::size_t lost = 0;
  for (const auto& [index, received] : made.devices) {
    const auto& device = made.station.stated.devices[static_cast<std::size_t>(index)];
    const auto& clock = made.station.truth.clocks[static_cast<std::size_t>(index)];
    std::int64_t rows = 0;
    std::int64_t missing = 0;
    double arrival = 0.0;
    for (std::size_t i = 0; i < received.blocks.size(); ++i) {
      const session::Block& block = received.blocks[i];
      REQUIRE(block.first_sample == rows);
      missing += block.missing_before;
      // Ticks count every sample made, the lost ones too.
      const auto ticks = static_cast<std::int64_t>(block.ticks) - clock.first_ticks;
      REQUIRE(ticks == std::llround(static_cast<double>(rows + missing) * device.tick_rate /
                                    device.sample_rate));
      const double last = clock.session_time(
          static_cast<double>(rows + missing + received.block_sizes[i] - 1) / device.sample_rate);
      REQUIRE(seconds(block.arrival) >= last + clock.delay - 1e-12);
      REQUIRE(seconds(block.arrival) < last + clock.delay + 0.06);
      REQUIRE(seconds(block.arrival) >= arrival);
      arrival = seconds(block.arrival);
      rows += received.block_sizes[i];
      lost += block.missing_before > 0 ? 1 : 0;
    }
  }
  CHECK(made.lost.size() > 3);
  CHECK(lost <= made.lost.size());  // neighbours lost together leave one gap
  CHECK(lost > 0);
}

TEST_CASE("the catch is heard after the flight and the sound's travel") {
  StationSettings settings;
  settings.errors = ErrorSources::none();
  const Recording made = play(settings, 6);
  const auto& truth = made.station.truth;
  const Throw& one = made.performance.throws.front();
  const double k = drag_per_metre(truth.air, 0.35);
  const double heard = one.pitch.release + time_to(one.ball_speed, k, truth.flight_distance) +
                       truth.sound_distance / sound_speed(truth.air);
  const auto& received = made.devices.at(2);
  std::size_t first = 0;
  while (first < received.raw.size() && std::abs(received.raw[first]) < 3000.0) ++first;
  REQUIRE(first < received.raw.size());
  const double seen = truth.clocks[2].session_time(static_cast<double>(first) / 8000.0);
  CHECK(seen >= heard);
  CHECK(seen < heard + 2.0 / 8000.0);
}

TEST_CASE("the trigger steps at release and its lag") {
  StationSettings settings;
  settings.errors = ErrorSources::none();
  settings.trigger = true;
  const Recording made = play(settings, 7);
  const auto& trigger = *made.station.stated.trigger;
  const auto& device = made.station.stated.devices[static_cast<std::size_t>(trigger.device)];
  const auto& received = made.devices.at(trigger.device);
  const std::size_t columns = device.channels.size();
  std::size_t first = 0;
  const auto value = [&](std::size_t i) {
    return received.raw[i * columns + static_cast<std::size_t>(trigger.channel)] *
           device.channels.back().scale;
  };
  while (value(first) < 2.5) ++first;
  const double seen =
      made.station.truth.clocks[1].session_time(static_cast<double>(first) / settings.rate);
  const double edge = made.performance.throws.front().pitch.release + trigger.lag.value;
  CHECK(seen >= edge);
  CHECK(seen < edge + 1.01 / settings.rate);
}

TEST_CASE("the radar reads the slowed ball's speed along its line of sight") {
  StationSettings settings;
  settings.errors = ErrorSources::none();
  const Recording made = play(settings, 8);
  REQUIRE(made.readings.size() == 1);
  const auto& truth = made.station.truth;
  const auto& radar = *made.station.stated.radar;
  const Throw& one = made.performance.throws.front();
  const double k = drag_per_metre(truth.air, 0.35);
  const double distance = radar.detection_distance.value;
  // Angle by the law of cosines in the triangle of release, ball and radar.
  const double a = (radar.position - truth.release_point).norm();
  const Eigen::Vector3d ball =
      truth.release_point + distance / truth.flight_distance * (truth.target - truth.release_point);
  const double b = (radar.position - ball).norm();
  const double cosine = -(distance * distance + b * b - a * a) / (2.0 * distance * b);
  CHECK(made.readings[0].speed ==
        Approx(speed_at(one.ball_speed, k, distance) * cosine).epsilon(1e-9));
  CHECK(seconds(made.readings[0].arrival) ==
        Approx(one.pitch.release + time_to(one.ball_speed, k, distance) + radar.delay.value)
            .epsilon(1e-12));
}

TEST_CASE("a printed reading is a multiple of the radar's step and near the true one") {
  StationSettings settings;
  settings.errors = ErrorSources::none();
  settings.errors.radar = true;
  settings.print = RadarPrint::whole_mph;
  const Recording made = play(settings, 9);
  REQUIRE(made.readings.size() == 1);
  const double mph = made.readings[0].speed / mps_per_mph;
  CHECK(std::abs(mph - std::round(mph)) < 1e-9);
  CHECK(made.readings[0].text == "R " + std::to_string(std::lround(mph)) + " mph");
}

TEST_CASE("nothing between throws is measured beyond what people weigh and do") {
  StationSettings settings;
  settings.errors = ErrorSources::none();
  settings.rate = 500.0;
  const Recording made = play(settings, 10, {.pitches = 3, .activities = true, .heel_cue = true});
  CHECK(made.performance.throws.size() == 3);
  CHECK(made.performance.doings.size() >= 6);
  const double weight = made.athlete.mass * standard_gravity;
  for (std::size_t p = 0; p < 2; ++p) {
    const auto wrench = wrench_of(made, p);
    CHECK(wrench.col(2).maxCoeff() < 3.2 * weight);
    CHECK(wrench.col(2).minCoeff() > -0.02);
  }
  // Throws and other doings do not overlap.
  for (const Throw& one : made.performance.throws)
    for (const Doing& doing : made.performance.doings)
      CHECK((doing.end <= one.pitch.begin || doing.begin >= one.pitch.end));
}

TEST_CASE("a sink's failure ends the recording and is handed on") {
  Random random(1, 0);
  const ModelAthlete athlete = draw_athlete(random, 1);
  const StationSettings settings;
  const Station station = draw_station(athlete, settings, random);
  const Performance performance =
      perform_session(athlete, station, {.pitches = 1, .activities = false}, random);
  int calls = 0;
  Sink sink;
  sink.samples = [&](int, const session::Block&, const session::RawSamples&) -> Result<void> {
    if (++calls == 10) return fail("disk", "is full");
    return {};
  };
  sink.reading = [](const session::RadarReading&) { return Result<void>{}; };
  const auto lost = record(performance, station, settings, 1, sink);
  REQUIRE_FALSE(lost);
  CHECK(lost.error().where == "disk");
  CHECK(calls == 10);
}

TEST_CASE("what several ideal plates carry together is what one plate carries") {
  StationSettings settings;
  settings.errors = ErrorSources::none();
  // With walking and jogging: a step may come onto any plate.
  const Recording one =
      play(settings, 9, {.pitches = 2, .duration = 60.0, .activities = true, .heel_cue = false});
  settings.back_plates.plates = 2;
  settings.lead_plates = {3, {1000.0, 1000.0, 1000.0}};
  Recording several;
  Random random(10, 0);
  several.station = draw_station(one.athlete, settings, random);
  several.performance = one.performance;
  // Sampled at the same times.
  for (DeviceClock& clock : several.station.truth.clocks) clock = one.station.truth.clocks.front();
  Recording single = one;
  single.devices.clear();
  for (DeviceClock& clock : single.station.truth.clocks) clock = one.station.truth.clocks.front();
  StationSettings plain;
  plain.errors = ErrorSources::none();
  play_to(single, plain, 9);
  play_to(several, settings, 9);

  std::size_t first = 0;
  for (std::size_t foot = 0; foot < 2; ++foot) {
    const std::size_t plates = foot == 0 ? 2 : 3;
    const auto moment_about_lab = [](const Recording& made, std::size_t plate) {
      const auto frame = plate::plate_frame(made.station.stated.plates[plate].description);
      plate::WrenchSeries wrench = wrench_of(made, plate);
      for (Eigen::Index i = 0; i < wrench.rows(); ++i)
        wrench.row(i).tail<3>() +=
            frame->centre.cross(Eigen::Vector3d(wrench.row(i).head<3>().transpose().matrix()))
                .transpose()
                .array();
      return wrench;
    };
    const auto whole = moment_about_lab(single, foot);
    plate::WrenchSeries sum = plate::WrenchSeries::Zero(whole.rows(), 6);
    std::vector<Eigen::ArrayXd> loads;
    for (std::size_t i = 0; i < plates; ++i) {
      const auto part = moment_about_lab(several, first + i);
      REQUIRE(part.rows() == whole.rows());
      sum += part;
      loads.push_back(part.col(2));
    }
    // Steps of 10000 N / 2^23 and 2500 N m / 2^23, rounded once a plate, arms of some 2 m.
    CHECK((sum - whole).leftCols<3>().abs().maxCoeff() < 0.005);
    CHECK((sum - whole).rightCols<3>().abs().maxCoeff() < 0.01);
    // And it is shared: more than one plate carries at once.
    const auto both =
        (loads[0] > 100.0 && loads[1] > 100.0) || (loads.back() > 100.0 && loads[1] > 100.0);
    CHECK(both.count() > 100);
    first += plates;
  }
}
