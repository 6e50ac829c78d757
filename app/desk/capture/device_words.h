// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <cstdint>
#include <string>

#include "drivers/device/health.h"

namespace moundwork::desk {

enum class LampState { good, waiting, trouble };

/// How one instrument does, for a coach: never colour alone.
struct DeviceLamp {
  QString name;
  LampState state = LampState::waiting;
  QString words;  ///< what is so, and if something is wrong, what to do
};

/// What is known of an instrument at this moment.
struct DeviceSight {
  std::string name;
  bool sampled = true;  ///< false for one that sends events, which are silent between throws
  drivers::LinkState state = drivers::LinkState::closed;
  std::string last_failure;
  double recorded_for = 0.0;   ///< s since the recording began
  std::int64_t missing = 0;    ///< samples lost on the way, so far
  std::uint64_t accepted = 0;  ///< frames or lines used
  std::uint64_t refused = 0;   ///< frames or lines that could not be used
  bool zeroed = true;          ///< its plates were seen empty, so that their numbers begin at 0
  std::string not_zeroed;      ///< which was not, where it samples several
  std::string kind = "radar";  ///< of one that sends events
};

[[nodiscard]] DeviceLamp lamp_of(const DeviceSight& sight);

}  // namespace moundwork::desk
