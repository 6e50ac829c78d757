// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "core/base/measured.h"
#include "core/base/result.h"
#include "core/time/session_clock.h"

namespace moundwork {

/// A device's counter and when the host's clock stamped the bytes that carried it.
struct Arrival {
  DeviceTicks ticks{0};
  SessionTime arrival{};
};

/// Settings of the fit; times in s, rates relative.
struct ClockFitSettings {
  /// One straight line is fitted per window. Long enough for many early arrivals, short enough for
  /// a crystal's warming to stay straight: 1 ppm/min bends 60 s by 8 us.
  double window = 60.0;
  /// Windows grow until they hold this many arrivals, so that a slow device keeps a good envelope.
  std::size_t least_arrivals = 500;
  /// Greatest change of skew about the session's median; RFC 5905 takes 15 ppm as the frequency
  /// tolerance of a computer's clock.
  double wander = 15e-6;
  /// Skew of an unknown crystal (one standard deviation): common practice.
  double crystal = 100e-6;
  /// A change of counter against arrivals beyond this that stays is a new segment.
  double step = 0.25;
  /// Standard uncertainty of an offset taken from hardly any arrivals: one-way serial and USB
  /// delays of up to 20 ms (common practice) as a rectangular distribution.
  double lone_arrival = 0.02 / 1.7320508;
};

/// The road from a device's counter to session time: arrival = a + (1 + s) ticks / rate + delay,
/// the delay never below its least value. Within a segment (a run of the counter without reset) it
/// is a continuous piecewise line, so slow wander over hours is followed.
class ClockMap {
 public:
  /// For recordings that carry no arrivals: the counter stands at `ticks` at `time`, no skew, no
  /// uncertainty.
  [[nodiscard]] static ClockMap nominal(double tick_rate, DeviceTicks ticks = DeviceTicks{0},
                                        SessionTime time = {});

  /// Session time at which the counter stood at `ticks`. After a counter reset the same count comes
  /// twice: then this takes the later segment, and `at(ticks, arrival)` the one that was running.
  [[nodiscard]] SessionTime at(DeviceTicks ticks) const;
  [[nodiscard]] SessionTime at(double ticks) const;
  [[nodiscard]] SessionTime at(double ticks, SessionTime arrival) const;

  /// Standard uncertainty of `at`, s, with the delay's own: the worst of the segments that are at
  /// least a tenth as long as the longest; a shorter one would speak for what it does not touch.
  [[nodiscard]] double u() const;
  /// Session seconds per nominal device second, less one: positive for a slow counter. Mean over
  /// the longest segment.
  [[nodiscard]] double skew() const;
  [[nodiscard]] std::size_t segment_count() const { return segments_.size(); }

 private:
  struct Knot {
    double ticks;
    double time;
  };
  struct Segment {
    double first_ticks = 0.0;
    double last_ticks = 0.0;
    double first_arrival = 0.0;
    std::vector<Knot> knots;    // by ticks; at least one
    double slope_before = 0.0;  // s per tick, ahead of the first knot
    double slope_after = 0.0;
    double u = 0.0;
    [[nodiscard]] double at(double ticks) const;
  };
  friend Result<ClockMap> fit_clock(std::span<const Arrival>, double, Measured,
                                    const ClockFitSettings&);

  std::vector<Segment> segments_;
  double tick_rate_ = 1.0;
};

/// Fits the counter to the host's clock on its earliest arrivals, since a delay only ever adds: in
/// each window the line below all arrivals that is highest at their mean (lower envelope), then the
/// lowest course through the windows that wanders no faster than the settings allow, so that a
/// longer spell of late arrivals does not pull it. `tick_rate` in Hz, nominal; `delay` the least
/// delay from sampling to arrival, s, which no one-way fit can see.
/// Fails without arrivals and on values that are not finite.
[[nodiscard]] Result<ClockMap> fit_clock(std::span<const Arrival> arrivals, double tick_rate,
                                         Measured delay, const ClockFitSettings& settings = {});

}  // namespace moundwork
