// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <limits>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/base/measured.h"
#include "core/plate/geometry.h"
#include "core/time/session_clock.h"

/// What one athlete's session consists of, apart from how a file stores it. Lab frame and SI units
/// throughout: x from the rubber toward home plate, y to the left of someone facing home, z up;
/// origin at the middle of the rubber's front edge.
namespace moundwork::session {

enum class Hand { right, left };

struct Athlete {
  std::string id;
  std::string name;
  Hand throws = Hand::right;
  Measured mass;     ///< kg, as dressed for throwing
  Measured height;   ///< m; may be unknown
  std::string born;  ///< ISO 8601 date; may be empty
};

/// Air and field of the day; unknown values stay NaN and the defaults of ball/ are used, flagged.
struct Conditions {
  Measured temperature;        ///< degrees Celsius
  Measured pressure;           ///< Pa
  Measured relative_humidity;  ///< 0 to 1
  std::string surface;         ///< free text: mound, floor, turf
};

/// How a stored sample is held. Raw samples are never altered after capture.
enum class SampleType { int16, int32, float32, float64 };

struct Channel {
  std::string name;
  std::string unit;     ///< unit after scaling
  double scale = 1.0;   ///< scaled = (raw - offset) * scale
  double offset = 0.0;  ///< raw units
  /// Raw values at which the converter clips; infinite when the recording does not say.
  double lowest = -std::numeric_limits<double>::infinity();
  double highest = std::numeric_limits<double>::infinity();
};

/// A sampled instrument: one counter, one table of samples (samples x channels).
struct Device {
  std::string name;
  SampleType sample_type = SampleType::int32;
  double sample_rate = 0.0;  ///< Hz by the device's own, nominal counter
  double tick_rate = 0.0;    ///< counter steps per nominal second
  /// Least delay from sampling to arrival at the host, s, known from the station check.
  Measured delay{0.0, 0.0};
  std::vector<Channel> channels;
  /// Whether its counter is the session clock itself, as in an imported recording: arrivals then
  /// say nothing.
  bool counts_session_time = false;
};

/// A run of samples without a gap: where it starts and when it arrived. A lost stretch shows as the
/// next block's ticks; the samples themselves are never invented.
struct Block {
  std::int64_t first_sample = 0;    ///< row in the device's table
  DeviceTicks ticks{0};             ///< counter at first_sample
  SessionTime arrival{};            ///< host clock when the block's last byte was read
  std::int64_t missing_before = 0;  ///< samples known lost just before this block
};

/// Standard uncertainties of a plate's calibration (type B), for the budget of every number.
struct PlateAccuracy {
  double gain = 0.0;        ///< relative, each component of force and moment
  double crosstalk = 0.0;   ///< N in a horizontal component per N vertical
  double zero_force = 0.0;  ///< N, left after taring
  double cop = 0.0;         ///< m, along each plate axis, under load
};

/// Which foot a plate serves.
enum class PlateRole { back, lead };

struct Plate {
  PlateRole role = PlateRole::back;
  int device = 0;             ///< index into Session::devices
  std::vector<int> channels;  ///< columns of the device, in the description's order
  plate::PlateDescription description;
  PlateAccuracy accuracy;
  int number = 0;  ///< as the file that was imported counts its plates, from 1; 0: none did
};

struct Radar {
  Eigen::Vector3d position = Eigen::Vector3d::Zero();  ///< lab, m
  double band = 24.125e9;                              ///< carrier, Hz
  double resolution = 0.0;                             ///< m/s, step of the printed reading
  /// From the ball's passing the point of detection to the reading's arrival, s.
  Measured delay{0.0, 0.0};
  /// Distance from the point of release along the flight at which the reading is taken, m.
  Measured detection_distance{0.0, 0.0};
  Measured speed_bias{0.0, 0.0};  ///< m/s, u from the tuning-fork check
};

/// Microphone at the net or catcher; its channel is a sampled device like a plate.
struct CatchMicrophone {
  int device = 0;
  int channel = 0;
  Measured flight_distance;  ///< release point to the net or glove, m
  Measured sound_distance;   ///< net or glove to the microphone, m
};

/// A beam or switch whose channel steps as the ball leaves the hand (or meets the beam).
struct Trigger {
  int device = 0;
  int channel = 0;
  Measured lag{0.0, 0.0};  ///< edge minus release, s
};

enum class FootLineSource { markers, stances, measured_points, foot_length };

/// Heel and toe of the back foot as it lies along the rubber.
struct FootLine {
  Eigen::Vector3d heel = Eigen::Vector3d::Zero();  ///< lab, m
  Eigen::Vector3d toe = Eigen::Vector3d::Zero();   ///< lab, m
  double u = 0.0;  ///< standard uncertainty of each horizontal coordinate, m
  FootLineSource source = FootLineSource::measured_points;
};

/// One line of a radar, kept as it came whatever it says.
struct RadarReading {
  SessionTime arrival{};
  double speed = 0.0;  ///< m/s, converted from `text`, not corrected for the cosine
  int direction = 0;   ///< +1 toward home, -1 back, 0 not told
  std::string text;    ///< the line as the device sent it
};

/// An instrument that sends events and that no computation knows by name: its kind
/// (core/session/kinds) says which measures it has.
struct EventInstrument {
  std::string kind;
  std::string name;                                       ///< unlike the others' of its kind
  std::map<std::string, Measured, std::less<>> measures;  ///< by key, SI; unknown ones are absent
};

/// What an event instrument of any kind sent once, kept as it came whatever it says.
struct InstrumentEvent {
  static constexpr std::size_t most_values = 4;
  SessionTime arrival{};
  std::array<double, most_values> values{};  ///< as the kind's columns; NaN: not told
  std::string text;                          ///< the line as the device sent it
};

/// A release known from outside (typed in, or a hand marker's greatest speed).
struct KnownRelease {
  SessionTime time{};
  double u = 0.0;  ///< s
  std::string source;
};

/// A ball speed known from outside, for an imported recording of one pitch.
struct KnownBallSpeed {
  Measured speed;    ///< m/s
  std::string text;  ///< as given
};

/// Where on the clock a session was: its day and ages are those of this zone (start.h).
struct SessionZone {
  std::string name = {};  ///< IANA name; empty only before a session begins
  int utc_offset_s = 0;   ///< how far clocks there were ahead of UTC at run zero, s
  bool assumed = false;   ///< the file says none: the lab's or this computer's stands in
};

struct Session {
  std::string id;       ///< identity that survives moving and copying the file
  std::string started;  ///< ISO 8601 wall time of run zero, UTC
  SessionZone zone;
  std::string origin;  ///< what made the file: recording, import of ..., simulation
  Athlete athlete;
  Conditions conditions;
  std::vector<Device> devices;
  std::vector<Plate> plates;  ///< any number may serve a foot
  /// Recorded and serving no foot: what they carry is in no number and is said. Their role says
  /// nothing.
  std::vector<Plate> other_plates;
  std::optional<Radar> radar;
  std::optional<CatchMicrophone> microphone;
  std::optional<Trigger> trigger;
  std::vector<EventInstrument> instruments;  ///< of the other kinds
  std::optional<FootLine> foot_line;
  std::vector<KnownRelease> known_releases;
  std::optional<KnownBallSpeed> known_ball_speed;
};

}  // namespace moundwork::session
