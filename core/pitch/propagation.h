// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <utility>

#include "core/definitions/settings.h"
#include "core/pitch/quantities.h"
#include "core/pitch/throw_data.h"
#include "core/pitch/uncertainty.h"

namespace moundwork::pitch {

/// A throw as far as an input can change it.
struct Trial {
  ThrowData data;
  EventTimes moved;
};

/// Moves inputs of a throw one by one, measures again, and gathers what changed, as variances by
/// source.
class Propagation {
 public:
  Propagation(ThrowData base, const EventTimes& moved, const definitions::Settings& settings);

  /// Moves an input that touches `parts`, measures again and puts the square of what changed to
  /// `source`.
  template <class Mutate>
  void move(Source source, Parts parts, const Mutate& mutate) {
    mutate(work_);
    add(source, parts, 1.0);
    restore(parts);
  }

  /// As `move` for a series of moves, each of which writes all that the one before wrote.
  template <class Mutate>
  void draw(Source source, const Mutate& mutate, double share) {
    mutate(work_.data);
    add(source, part::all, share);
  }

  /// The whole throw as it would be otherwise.
  void add(Source source, const ThrowData& changed, const definitions::Settings& settings) {
    add(source, Trial{changed, base_.moved}, settings);
  }

  /// The same throw read under other settings.
  void read_otherwise(Source source, const definitions::Settings& settings) {
    add(source, base_, settings);
  }

  /// What other thresholds would change, kept apart.
  void thresholds(const definitions::Settings& settings);

  /// Another's part from one source.
  void take(Source source, const Propagation& other);
  /// Another's part of one number from one source, in place of the own.
  void take(Source source, const Propagation& other, Event event);
  void take(Source source, const Propagation& other, Quantity quantity);

  /// Leaves this much of what a source gave to a peak's time, and to the numbers that noise reaches
  /// through it. A peak put by hand keeps all.
  void lessen_at(Event peak, Source source, double share);

  [[nodiscard]] const ThrowData& data() const { return base_.data; }
  [[nodiscard]] const EventTimes& moved() const { return base_.moved; }
  [[nodiscard]] const EventTimes& events() const { return events_; }
  /// Roots of the variances.
  [[nodiscard]] Uncertainty result() const;

 private:
  void add(Source source, const Trial& changed, const definitions::Settings& settings);
  void add(Source source, Parts parts, double share);
  void gather(Source source, const EventTimes& events, const QuantityValues& quantities,
              double share);
  void restore(Parts parts);

  Trial base_, work_;
  const definitions::Settings& settings_;
  EventTimes events_{};
  QuantityValues quantities_{};
  Uncertainty result_;
};

}  // namespace moundwork::pitch
