// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <optional>
#include <string_view>
#include <vector>

#include "core/definitions/settings.h"
#include "core/foot/foot_forces.h"
#include "core/pitch/moved_events.h"
#include "core/pitch/throw_data.h"
#include "core/session/session.h"

namespace moundwork::pitch {

/// Where uncertainty comes from; each is one line of a number's budget (docs/uncertainty.md).
enum class Source : std::size_t {
  calibration,  ///< gains, crosstalk and centre of pressure of each plate
  zero,         ///< what taring leaves
  noise,        ///< of the samples
  filter,       ///< what the low-pass takes or leaves
  foot_line,
  release,
  clock,  ///< of each plate on the session clock
  body,   ///< mass and height
  ball,   ///< speed at release
  moved,  ///< events put by hand
  count
};
inline constexpr std::size_t source_count = static_cast<std::size_t>(Source::count);
[[nodiscard]] std::string_view name_of(Source source);

/// One plate's part in the standard uncertainties of the inputs.
struct PlateInputs {
  session::PlateAccuracy accuracy;
  double zero = 0.0;                                 ///< N
  Eigen::Vector2d centre = Eigen::Vector2d::Zero();  ///< of the plate's surface, m
  int device = -1;                                   ///< index into Session::devices
  double clock = 0.0;                                ///< s, of its device on the session clock
  /// What of its foot's forces is its own; none where it carries them alone.
  std::optional<foot::PlateShare> share;
};

/// One foot's part.
struct FootInputs {
  std::vector<PlateInputs> plates;                                        ///< at least one
  Eigen::Array<double, 1, 6> noise = Eigen::Array<double, 1, 6>::Zero();  ///< N, N m, one sample
  Eigen::Vector2d centre = Eigen::Vector2d::Zero();  ///< that the noise's moments are about, m
  double clock = 0.0;                                ///< s, of its first plate
};

/// Standard uncertainties of all inputs of a throw.
struct InputUncertainty {
  FootInputs back, lead;
  double mass = 0.0, height = 0.0;  ///< kg, m
  double foot_line = 0.0;           ///< m, each coordinate of heel and toe
  double release = 0.0;             ///< s, but for the plates' clocks
  /// How much of a plate's clock error the release has in it: 1 where a trigger is wired to that
  /// plate's device, 0 where nothing of it stamped the release.
  double release_by_back_clock = 0.0, release_by_lead_clock = 0.0;
  bool one_clock = false;   ///< both feet's first plates on one device
  double ball_speed = 0.0;  ///< m/s
};

/// Contributions to standard uncertainty, by source, in the output's unit.
using Contributions = std::array<double, source_count>;

struct Uncertainty {
  std::array<Contributions, event_count> events{};
  std::array<Contributions, quantity_count> quantities{};
  /// What a fifth more on every threshold would change: how much the choice of the definitions
  /// matters. Not part of u: the thresholds belong to the definitions (VIM 2.27).
  std::array<double, event_count> event_thresholds{};
  std::array<double, quantity_count> quantity_thresholds{};

  [[nodiscard]] double u(Event event) const;
  [[nodiscard]] double u(Quantity quantity) const;
  /// Of `u`, what all throws of a session have alike, so that their mean is no surer of it. Noise,
  /// zero and an event put by hand are each throw's own; all else is taken to be shared, the filter
  /// and the release too, which are so in part: that is the most that it can be.
  [[nodiscard]] double shared_u(Event event) const;
  [[nodiscard]] double shared_u(Quantity quantity) const;
};

/// Law of propagation of uncertainty (JCGM 100, 5.1.2) with the sensitivities found numerically
/// (5.1.3, note 2): each input is moved by its standard uncertainty and everything is measured
/// again. Noise is propagated by adding filtered noise of the size seen on the unloaded plates.
/// `events` are those found with `moved` (its release, if any, moves by inputs.release).
/// `twice` is the same throw with every low-pass applied a second time.
[[nodiscard]] Uncertainty propagate(const ThrowData& data, const ThrowData& twice,
                                    const EventTimes& events, const MovedEvents& moved,
                                    const InputUncertainty& inputs,
                                    const definitions::Settings& settings);

}  // namespace moundwork::pitch
