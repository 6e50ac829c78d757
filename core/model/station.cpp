// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/station.h"

#include <fmt/format.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/base/units.h"

namespace moundwork::model {
namespace {

using session::Channel;
using session::Device;
using session::Plate;
using session::PlateRole;

constexpr double mound_slope = 1.0 / 12.0;  // official rules, 1 in per ft
constexpr double slope_starts = 0.1524;     // m ahead of the rubber
constexpr double back_tilt = 0.0087;        // rad, half a degree forward: "nearly level"
constexpr int converter_bits = 24;
constexpr double microphone_rate = 8000.0;
constexpr double counter_rate = 1e6;

// A plate pitched forward by `tilt`, plate x toward home, z down; corners in the order of C3D.
std::array<Eigen::Vector3d, 4> corners(const Eigen::Vector3d& centre, double half_x, double half_y,
                                       double tilt) {
  const Eigen::Vector3d x = half_x * Eigen::Vector3d(std::cos(tilt), 0.0, -std::sin(tilt));
  const Eigen::Vector3d y = half_y * Eigen::Vector3d(0.0, -1.0, 0.0);
  return {centre + x + y, centre - x + y, centre - x - y, centre + x - y};
}

plate::PlateDescription describe(plate::PlateType type) {
  plate::PlateDescription description;
  description.type = type;
  description.reaction_sign = -1.0;
  // The origin lies under the surface, so with z down its z is negative (C3D user guide).
  switch (type) {
    case plate::PlateType::eight_component:
      description.origin = {0.21, 0.13, -0.048};
      description.sensitivity = Eigen::MatrixXd::Identity(8, 8);
      break;
    case plate::PlateType::six_component_matrix: {
      description.origin = {0.0006, -0.0009, -0.045};
      // N/V and N m/V with the small couplings of a real certificate.
      Eigen::MatrixXd matrix = Eigen::MatrixXd::Zero(6, 6);
      matrix.diagonal() << 500.0, 500.0, 1000.0, 250.0, 250.0, 150.0;
      matrix(0, 2) = 4.0;
      matrix(1, 0) = -3.0;
      matrix(2, 1) = 6.0;
      matrix(3, 1) = 2.0;
      matrix(4, 2) = -1.5;
      matrix(5, 0) = 0.8;
      description.sensitivity = matrix;
      break;
    }
    case plate::PlateType::six_component:
    case plate::PlateType::centre_of_pressure:
      description.type = plate::PlateType::six_component;
      description.origin = {0.0008, -0.0005, -0.040};
      description.sensitivity = Eigen::MatrixXd::Identity(6, 6);
      break;
  }
  return description;
}

Channel converter(const char* name, const char* unit, double range) {
  constexpr double steps = static_cast<double>(1 << (converter_bits - 1));
  return {name, unit, range / steps, 0.0, -steps, steps - 1.0};
}

std::vector<Channel> plate_channels(plate::PlateType type, double vertical) {
  // A horizontal range of a third of the vertical and moments of a tenth of a metre per newton:
  // common practice of plate ranges.
  const double horizontal = vertical / 3.0;
  const double moment = vertical / 4.0;
  if (type == plate::PlateType::eight_component)
    return {converter("Fx12", "N", horizontal),    converter("Fx34", "N", horizontal),
            converter("Fy14", "N", horizontal),    converter("Fy23", "N", horizontal),
            converter("Fz1", "N", vertical / 2.0), converter("Fz2", "N", vertical / 2.0),
            converter("Fz3", "N", vertical / 2.0), converter("Fz4", "N", vertical / 2.0)};
  if (type == plate::PlateType::six_component_matrix)
    return {converter("V1", "V", 10.0), converter("V2", "V", 10.0), converter("V3", "V", 10.0),
            converter("V4", "V", 10.0), converter("V5", "V", 10.0), converter("V6", "V", 10.0)};
  return {converter("Fx", "N", horizontal), converter("Fy", "N", horizontal),
          converter("Fz", "N", vertical),   converter("Mx", "N m", moment),
          converter("My", "N m", moment),   converter("Mz", "N m", moment)};
}

PlateErrors draw_plate_errors(const StationSettings& settings, Random& random) {
  const auto& accuracy = settings.accuracy;
  const auto& on = settings.errors;
  const auto draw = [&](bool wanted, double u) {
    const double value = random.normal(0.0, u);
    return wanted ? value : 0.0;
  };
  PlateErrors errors;
  for (double& gain : errors.gain) gain = draw(on.gain, accuracy.gain);
  errors.twist_gain = draw(on.gain, accuracy.gain);
  for (double& crosstalk : errors.crosstalk) crosstalk = draw(on.crosstalk, accuracy.crosstalk);
  for (double& shift : errors.pressure_point) shift = draw(on.pressure_point, accuracy.cop);
  for (Eigen::Index i = 0; i < 6; ++i) {
    const double unit = i < 3 ? 1.0 : 0.1;  // N, and N m that go with a tenth of a metre
    errors.offset[i] = draw(on.drift, 12.0 * unit);
    errors.drift[i] = draw(on.drift, 2.0 * unit / 3600.0);
    errors.swing[i] = draw(on.drift, 0.7 * unit);
  }
  errors.swing_period = random.uniform(1500.0, 3000.0);
  const double noise = random.uniform(1.0, 2.0);
  if (on.noise) {
    errors.force_noise = noise;
    errors.moment_noise = 0.15 * noise;
  }
  return errors;
}

struct StatedDelay {
  double value, u;
};

DeviceClock draw_clock(const StationSettings& settings, StatedDelay delay, Random& random) {
  const double start = random.uniform(0.0, 0.02);
  const double skew = random.normal(0.0, 25e-6);
  const double wander = random.uniform(20e-6, 80e-6);
  const double error = random.normal(0.0, delay.u);
  DeviceClock clock;
  clock.start = start;
  clock.wander_period = random.uniform(700.0, 1500.0);
  clock.wander_phase = random.uniform(0.0, 2.0 * std::numbers::pi);
  clock.first_ticks = random.integer(0, 1000000000);
  if (settings.errors.clock) {
    clock.skew = skew;
    clock.wander = wander;
  }
  clock.delay = delay.value + (settings.errors.delay ? error : 0.0);
  return clock;
}

double print_step(RadarPrint print) {
  switch (print) {
    case RadarPrint::tenth_mph:
      return 0.1 * mps_per_mph;
    case RadarPrint::whole_mph:
      return mps_per_mph;
    case RadarPrint::tenth_kmh:
      return 0.1 * mps_per_kmh;
    case RadarPrint::whole_kmh:
      return mps_per_kmh;
  }
  return 0.0;
}

// The ground under one foot that is laid out with plates.
struct Area {
  PlateRole role;
  std::string name;
  Eigen::Vector3d centre;
  double half_x, half_y, tilt;
};

std::array<Area, 2> areas(double lead_x, const std::optional<double>& feet_meet) {
  constexpr double back_length = 0.40, lead_half = 0.45, half_width = 0.30;  // m
  double back_from = 0.0, back_to = back_length;
  double lead_half_x = lead_half;
  if (feet_meet) {
    back_from = std::min(0.0, *feet_meet - back_length);
    back_to = *feet_meet;
    const double lead_to = lead_x + lead_half;
    lead_x = 0.5 * (*feet_meet + lead_to);
    lead_half_x = lead_to - lead_x;
  }
  return {{{PlateRole::back,
            "back plate",
            {0.5 * (back_from + back_to), 0.0, 0.0},
            0.5 * (back_to - back_from),
            half_width,
            back_tilt},
           {PlateRole::lead,
            "lead plate",
            {lead_x, 0.0, -(lead_x - slope_starts) * mound_slope},
            lead_half_x,
            half_width,
            std::atan(mound_slope)}}};
}

// The corners of one plate of a row that shares the area.
std::array<Eigen::Vector3d, 4> corners(const Area& area, int place, int plates) {
  // Of half a plate, from the middle of the row.
  const double steps = 2 * place - plates + 1;
  if (area.role == PlateRole::back) {
    const double half_y = area.half_y / plates;
    return corners(area.centre + steps * half_y * Eigen::Vector3d::UnitY(), area.half_x, half_y,
                   area.tilt);
  }
  const double half_x = area.half_x / plates;
  const Eigen::Vector3d ahead(std::cos(area.tilt), 0.0, -std::sin(area.tilt));
  return corners(area.centre + steps * half_x * ahead, half_x, area.half_y, area.tilt);
}

std::string device_name(const Area& area, int place, const PlateRow& row) {
  if (row.plates == 1) return area.name;
  if (row.rates.empty()) return area.name + "s";
  constexpr std::array<const char*, most_plates> ordinals{"first", "second", "third", "fourth"};
  return fmt::format("{} {}", ordinals[static_cast<std::size_t>(place)], area.name);
}

void add_plates(Station& station, const ModelAthlete& athlete, const StationSettings& settings,
                Random& random) {
  constexpr StatedDelay delay{0.004, 0.0002};
  // The lead plate slides along a rail in steps of 0.1 m, to where this athlete lands.
  const double lead_x = std::round(10.0 * athlete.typical.stride) / 10.0;
  auto& devices = station.stated.devices;
  for (const Area& area : areas(lead_x, settings.feet_meet)) {
    const bool back = area.role == PlateRole::back;
    const PlateRow& row = back ? settings.back_plates : settings.lead_plates;
    const auto first_device = static_cast<int>(devices.size());
    for (int place = 0; place < row.plates; ++place) {
      station.truth.plates.push_back(draw_plate_errors(settings, random));
      if (place == 0 || !row.rates.empty()) {
        Device device;
        device.name = device_name(area, place, row);
        device.sample_type = session::SampleType::int32;
        device.sample_rate =
            row.rates.empty() ? settings.rate : row.rates.at(static_cast<std::size_t>(place));
        device.tick_rate = counter_rate;
        device.delay = {delay.value, delay.u};
        station.truth.clocks.push_back(draw_clock(settings, delay, random));
        devices.push_back(std::move(device));
      }
      Plate plate;
      plate.role = area.role;
      plate.device = static_cast<int>(devices.size()) - 1;
      auto& channels = devices.back().channels;
      const std::size_t before = channels.size();
      for (Channel channel : plate_channels(settings.plate_type, settings.vertical_range)) {
        // Told apart where another plate has the same on this device.
        if (before > 0) channel.name += fmt::format(" {}", place + 1);
        plate.channels.push_back(static_cast<int>(channels.size()));
        channels.push_back(std::move(channel));
      }
      plate.description = describe(settings.plate_type);
      plate.description.corners = corners(area, place, row.plates);
      plate.accuracy = settings.accuracy;
      station.stated.plates.push_back(std::move(plate));
    }
    if (!back && settings.trigger) {
      auto& channels = devices[static_cast<std::size_t>(first_device)].channels;
      const auto channel = static_cast<int>(channels.size());
      channels.push_back(converter("trigger", "V", 10.0));
      station.stated.trigger = session::Trigger{first_device, channel, {0.0015, 0.0005}};
    }
  }
}

// Field distances grow with the athlete: common youth distances (from memory) and the official one.
double rubber_to_plate(const ModelAthlete& athlete) {
  if (athlete.age <= 11) return 14.0208;
  if (athlete.age <= 13) return 15.24;
  if (athlete.age <= 14) return 16.4592;
  return 18.4404;
}

void add_ball_instruments(Station& station, const ModelAthlete& athlete,
                          const StationSettings& settings, Random& random) {
  const auto& on = settings.errors;
  auto& truth = station.truth;
  auto& stated = station.stated;
  const auto state = [&](double value, double u) {
    const double error = random.normal(0.0, u);
    return Measured{value + (on.flight ? error : 0.0), u};
  };
  truth.air = {random.uniform(14.0, 30.0), random.uniform(97000.0, 102500.0),
               random.uniform(0.3, 0.7)};
  stated.conditions.temperature = state(truth.air.temperature, 0.5);
  stated.conditions.pressure = state(truth.air.pressure, 200.0);
  stated.conditions.relative_humidity = state(truth.air.relative_humidity, 0.05);
  stated.conditions.surface = "mound";

  const double drag = random.normal(0.35, 0.03);
  truth.drag_coefficient = on.flight ? drag : 0.35;
  const double arm_side = athlete.hand == session::Hand::right ? -1.0 : 1.0;
  const double stride = athlete.typical.stride;
  truth.release_point = {stride + 0.20, 0.45 * arm_side, 0.93 * athlete.height - 0.15};
  truth.target = {rubber_to_plate(athlete) + 0.5, 0.0, 0.45};
  truth.flight_distance = (truth.target - truth.release_point).norm();
  truth.sound_distance = random.uniform(1.5, 4.0);

  if (settings.radar) {
    session::Radar radar;
    radar.position = {truth.target.x() + 2.0, random.uniform(-0.8, 0.8), random.uniform(0.4, 1.2)};
    radar.resolution = print_step(settings.print);
    radar.delay = {0.080, 0.005};
    radar.detection_distance = {3.0, 0.4};
    radar.speed_bias = {0.0, 0.1};
    const double bias = random.normal(0.0, radar.speed_bias.u);
    truth.radar_bias = on.radar ? bias : 0.0;
    stated.radar = radar;
  }
  if (settings.microphone) {
    constexpr StatedDelay delay{0.006, 0.0005};
    Device device;
    device.name = "catch microphone";
    device.sample_type = session::SampleType::int16;
    device.sample_rate = microphone_rate;
    device.tick_rate = counter_rate;
    device.delay = {delay.value, delay.u};
    device.channels = {{"sound", "1", 1.0 / 32768.0, 0.0, -32768.0, 32767.0}};
    stated.microphone =
        session::CatchMicrophone{static_cast<int>(stated.devices.size()), 0,
                                 state(truth.flight_distance, settings.flight_distance_u),
                                 state(truth.sound_distance, 0.03)};
    truth.clocks.push_back(draw_clock(settings, delay, random));
    stated.devices.push_back(std::move(device));
  }
}

void add_athlete(Station& station, const ModelAthlete& athlete, const StationSettings& settings,
                 Random& random) {
  auto& stated = station.stated;
  auto& truth = station.truth;
  constexpr double height_u = 0.005;  // m, a wall scale
  truth.mass = athlete.mass;
  truth.height = athlete.height;
  truth.foot = place_back_foot(athlete, random.normal(0.0, 0.06));
  const double mass_error = random.normal(0.0, settings.mass_u);
  const double height_error = random.normal(0.0, height_u);
  stated.athlete.id = athlete.id;
  stated.athlete.name = athlete.name;
  stated.athlete.throws = athlete.hand;
  stated.athlete.mass = {athlete.mass + (settings.errors.body ? mass_error : 0.0), settings.mass_u};
  stated.athlete.height = {athlete.height + (settings.errors.body ? height_error : 0.0), height_u};
  stated.athlete.born = fmt::format("{}-06-15", 2026 - athlete.age);

  session::FootLine line;
  line.u = settings.foot_line_u;
  line.source = session::FootLineSource::measured_points;
  for (Eigen::Index axis = 0; axis < 2; ++axis) {
    const double heel = random.normal(0.0, line.u);
    const double toe = random.normal(0.0, line.u);
    line.heel[axis] = truth.foot.heel[axis] + (settings.errors.foot_line ? heel : 0.0);
    line.toe[axis] = truth.foot.toe[axis] + (settings.errors.foot_line ? toe : 0.0);
  }
  const auto frame = plate::plate_frame(stated.plates.front().description);
  line.heel.z() = surface_height(*frame, line.heel.head<2>());
  line.toe.z() = surface_height(*frame, line.toe.head<2>());
  stated.foot_line = line;
}

}  // namespace

ErrorSources ErrorSources::none() {
  return {false, false, false, false, false, false, false, false,
          false, false, false, false, false, false, false};
}

double DeviceClock::session_time(double device_seconds) const {
  const auto turn = [this](double d) {
    return std::sin(2.0 * std::numbers::pi * d / wander_period + wander_phase);
  };
  return start + device_seconds / (1.0 + skew) + wander * (turn(device_seconds) - turn(0.0));
}

Station draw_station(const ModelAthlete& athlete, const StationSettings& settings, Random& random) {
  Station station;
  station.stated.origin = "simulation";
  add_plates(station, athlete, settings, random);
  add_ball_instruments(station, athlete, settings, random);
  add_athlete(station, athlete, settings, random);
  return station;
}

double surface_height(const plate::PlateFrame& frame, const Eigen::Vector2d& point) {
  const Eigen::Vector2d across = point - frame.centre.head<2>();
  return frame.centre.z() - frame.up.head<2>().dot(across) / frame.up.z();
}

}  // namespace moundwork::model
