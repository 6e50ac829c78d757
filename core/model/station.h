// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/model/athlete.h"
#include "core/model/ball_path.h"
#include "core/model/pitch_motion.h"
#include "core/session/session.h"

/// The invented lab: what its sheet states, and by how much that is wrong. Every error is drawn
/// from a normal distribution with exactly the standard uncertainty that is stated, once a session.
namespace moundwork::model {

/// Sources of error, each of which can be switched off alone.
struct ErrorSources {
  bool gain = true;            ///< plates' sensitivity
  bool crosstalk = true;       ///< vertical force showing in the horizontal ones
  bool pressure_point = true;  ///< plates' centre of pressure
  bool zero = true;            ///< offset that a load leaves behind, beyond any taring
  bool drift = true;           ///< offset at the start and its slow change
  bool noise = true;           ///< white, plates and microphone
  bool clock = true;           ///< skew and wander of the devices' counters
  bool arrival = true;         ///< jitter of the arrivals
  bool delay = true;           ///< least delays other than stated
  bool body = true;            ///< mass and height as stated
  bool foot_line = true;
  bool radar = true;    ///< bias, printing step, delay scatter
  bool flight = true;   ///< drag, distances, air
  bool trigger = true;  ///< lag scatter
  bool loss = true;     ///< lost blocks; radar readings missing, doubled, stray

  [[nodiscard]] static ErrorSources none();
};

enum class RadarPrint { tenth_mph, whole_mph, tenth_kmh, whole_kmh };

/// The plates under one foot. They share its area evenly, side by side: the back foot's along the
/// rubber, the lead foot's toward home. Where there is an even number, an edge is under the foot.
struct PlateRow {
  int plates = 1;  ///< 1 to most_plates
  /// Hz: a device for each plate with a rate of its own; empty: all on one, at the station's rate.
  std::vector<double> rates;
};
inline constexpr int most_plates = 4;

struct StationSettings {
  double rate = 1000.0;  ///< Hz, of plates whose row states none
  PlateRow back_plates, lead_plates;
  /// A station set up wrongly: m ahead of the rubber where the back foot's area ends and, with no
  /// ground between them, the lead foot's begins, up to a foot's length from its far end. Whatever
  /// stands across is borne by plates of both.
  std::optional<double> feet_meet;
  plate::PlateType plate_type = plate::PlateType::six_component;
  session::PlateAccuracy accuracy{0.002, 0.003, 0.5, 0.0015};
  double foot_line_u = 0.002;       ///< m
  double mass_u = 0.1;              ///< kg
  double vertical_range = 10000.0;  ///< N at which a plate's vertical channel clips
  bool radar = true;
  bool microphone = true;
  bool trigger = false;
  std::vector<std::string> with;  ///< kinds (core/model/kinds) of further instruments, one each
  RadarPrint print = RadarPrint::tenth_mph;
  double flight_distance_u = 0.10;  ///< m; a tape to the net and the athlete's release as guessed
  double lost_blocks_per_hour = 6.0;
  ErrorSources errors;
};

/// By how much a plate is wrong; plate axes (x, y along the surface, z down).
struct PlateErrors {
  Eigen::Vector3d gain = Eigen::Vector3d::Zero();       ///< relative, Fx Fy Fz
  double twist_gain = 0.0;                              ///< relative, Mz about the surface centre
  Eigen::Vector2d crosstalk = Eigen::Vector2d::Zero();  ///< N in Fx, Fy per N of Fz
  Eigen::Vector2d pressure_point = Eigen::Vector2d::Zero();  ///< m, of the centre of pressure
  Eigen::Matrix<double, 6, 1> offset = Eigen::Matrix<double, 6, 1>::Zero();  ///< N, N m at start
  Eigen::Matrix<double, 6, 1> drift = Eigen::Matrix<double, 6, 1>::Zero();   ///< per s, linear part
  Eigen::Matrix<double, 6, 1> swing =
      Eigen::Matrix<double, 6, 1>::Zero();  ///< slow cycle's amplitude
  double swing_period = 1800.0;             ///< s
  double force_noise = 0.0;                 ///< N, one sample
  double moment_noise = 0.0;                ///< N m
};

/// A device's own clock against session time: t = start + d / (1 + skew) + wander (sin ...).
struct DeviceClock {
  double start = 0.0;            ///< session time of device second 0, s
  double skew = 0.0;             ///< relative
  double wander = 0.0;           ///< s
  double wander_period = 900.0;  ///< s
  double wander_phase = 0.0;     ///< rad
  double delay = 0.0;            ///< least delay from sampling to arrival as it truly is, s
  std::int64_t first_ticks = 0;

  [[nodiscard]] double session_time(double device_seconds) const;
};

/// What is true of this session beside what it states.
struct StationTruth {
  std::vector<PlateErrors> plates;  ///< as Session::plates
  std::vector<DeviceClock> clocks;  ///< as Session::devices
  Air air;
  double drag_coefficient = 0.35;
  double radar_bias = 0.0;                                  ///< m/s
  double flight_distance = 0.0;                             ///< m
  double sound_distance = 0.0;                              ///< m
  Eigen::Vector3d release_point = Eigen::Vector3d::Zero();  ///< lab, m
  Eigen::Vector3d target = Eigen::Vector3d::Zero();         ///< net or glove, lab, m
  FootPlace foot;
  double mass = 0.0;    ///< kg
  double height = 0.0;  ///< m
};

struct Station {
  session::Session stated;
  StationTruth truth;
};

/// Plates and their devices in this order: the back foot's from the third-base side, the lead
/// foot's from the rubber; then the microphone's device if there is one.
[[nodiscard]] Station draw_station(const ModelAthlete& athlete, const StationSettings& settings,
                                   Random& random);

/// Height of the ground or plate surface at a lab point, for a plate of this frame.
[[nodiscard]] double surface_height(const plate::PlateFrame& frame, const Eigen::Vector2d& point);

}  // namespace moundwork::model
