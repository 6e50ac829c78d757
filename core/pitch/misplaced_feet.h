// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "core/definitions/settings.h"
#include "core/pitch/plates_of_throw.h"
#include "core/pitch/throw_data.h"
#include "core/session/results.h"

/// A foot that stood where another foot's force is measured, or where none is.
namespace moundwork::pitch {

/// What one foot's plates carried of the other foot.
struct FeetOnEachOther {
  /// BW, median of what the lead foot's plates carried while the lead foot was in the air; 0 where
  /// that is nothing.
  double back_on_lead = 0.0;
  /// m that the pressure on the back foot's plates moved toward home after the landing, while they
  /// braked as a back foot does not; 0 where neither.
  double lead_on_back = 0.0;
};

/// `lead`: what the lead foot's plates recorded, whose zero tells what is nothing.
[[nodiscard]] FeetOnEachOther feet_on_each_other(const ThrowData& data, const EventTimes& events,
                                                 const foot::PlateWindow& lead,
                                                 const definitions::Settings& settings);

/// Makes unmeasurable what cannot be told then: the back leg's numbers where part of its force went
/// elsewhere, the lead leg's where part of its braking did, and what reads both but for the sum of
/// both feet, which is the same whatever plates bear it.
void blank_shared(const FeetOnEachOther& feet, QuantityValues& quantities);

[[nodiscard]] std::vector<session::ResultFlag> shared_plate_flags(const FeetOnEachOther& feet);

/// What plates under no foot carried of the drive and of the landing, as a share of what is
/// counted.
[[nodiscard]] std::vector<session::ResultFlag> other_plate_flags(const PlatesOfThrow& plates,
                                                                 const ThrowData& data,
                                                                 const EventTimes& events);

}  // namespace moundwork::pitch
