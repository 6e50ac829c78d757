// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <cstddef>
#include <limits>

#include "core/definitions/catalogue.h"

namespace moundwork::definitions {

/// Times of the events, s; NaN where the recording does not show one.
using EventTimes = std::array<double, event_count>;
/// Values by quantity; NaN where one cannot be measured.
using QuantityValues = std::array<double, quantity_count>;

/// Of no event at all.
[[nodiscard]] constexpr EventTimes no_times() {
  EventTimes times{};
  times.fill(std::numeric_limits<double>::quiet_NaN());
  return times;
}

[[nodiscard]] inline double& at(EventTimes& times, Event event) {
  return times[static_cast<std::size_t>(event)];
}
[[nodiscard]] inline double at(const EventTimes& times, Event event) {
  return times[static_cast<std::size_t>(event)];
}
[[nodiscard]] inline double& at(QuantityValues& values, Quantity quantity) {
  return values[static_cast<std::size_t>(quantity)];
}
[[nodiscard]] inline double at(const QuantityValues& values, Quantity quantity) {
  return values[static_cast<std::size_t>(quantity)];
}

}  // namespace moundwork::definitions
