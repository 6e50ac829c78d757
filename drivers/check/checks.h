// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.h"
#include "core/session/reader.h"
#include "drivers/check/limits.h"

/// The station's checks before athletes come, each on a short recording of the station itself.
namespace moundwork::drivers {

/// One line of the pass/fail sheet.
struct CheckLine {
  std::string check;  ///< "rates", "zero", "weight", "fork" or "tap"
  std::string item;   ///< device, plate and quantity
  std::string unit;
  double found = 0.0;
  double wanted = 0.0;
  double limit = 0.0;  ///< greatest distance of found from wanted
  [[nodiscard]] bool pass() const;
};

using CheckSheet = std::vector<CheckLine>;

/// Each device's rate against the host's clock, and its lost samples.
[[nodiscard]] Result<CheckSheet> check_rates(const session::Reader& reader,
                                             const CheckLimits& limits);

/// Mean and noise of each force of each unloaded plate.
[[nodiscard]] Result<CheckSheet> check_zero(const session::Reader& reader,
                                            const CheckLimits& limits);

/// Where a known weight is put: the middle, or a quadrant of the plate as C3D numbers them, at 60 %
/// of the way to the edges.
enum class WeightPoint { centre, quadrant_1, quadrant_2, quadrant_3, quadrant_4 };

/// A plate by its foot and its place among that foot's plates.
struct PlateChoice {
  session::PlateRole role = session::PlateRole::back;
  int number = 1;  ///< from 1
};

/// A recording that begins with 2 s of empty plate and ends with 2 s of the weight at rest.
/// `mass` in kg.
[[nodiscard]] Result<CheckSheet> check_weight(const session::Reader& reader, PlateChoice plate,
                                              double mass, WeightPoint point,
                                              const CheckLimits& limits);

/// Speed (m/s) that a fork of `frequency` (Hz) must read on a radar of `band` (Hz):
/// v = f c / (2 band), to first order in v/c.
[[nodiscard]] double fork_speed(double frequency, double band);

/// Median of the radar's readings while the fork sounds.
[[nodiscard]] Result<CheckSheet> check_fork(const session::Reader& reader, double frequency,
                                            const CheckLimits& limits);

/// Knocks that plates (and the microphone) take up at the same time: how far apart the devices'
/// session times of them are. Each plate is compared with the first by knocks that both feel, such
/// as one on the ground between them, or, when there is none, each with the microphone.
/// `microphone_distance` (m) from the first plate's middle down the field to the microphone; 0 when
/// it is held beside the knocks. Its sound is taken at 20 degrees Celsius: ten degrees more or less
/// are 1 ms in 18 m.
[[nodiscard]] Result<CheckSheet> check_taps(const session::Reader& reader,
                                            double microphone_distance, const CheckLimits& limits);

/// As JSON, with the wall time it was made.
[[nodiscard]] std::string to_json(const CheckSheet& sheet, std::string_view made);
/// As a table for people.
[[nodiscard]] std::string to_text(const CheckSheet& sheet);

}  // namespace moundwork::drivers
