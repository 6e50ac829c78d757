// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <map>
#include <string>
#include <tuple>
#include <vector>

#include "core/relate/change_limit.h"
#include "core/relate/day_means.h"

namespace moundwork::relate {

/// What the named retests say of a quantity's variation from day to day.
class Retests {
 public:
  /// Both must outlive this.
  Retests(const Pitches& pitches, const Days& days) : pitches_(pitches), days_(days) {}

  /// Of all athletes but the one who is judged: nobody is measured by his own change. Of an
  /// athlete's several retests the mean square counts. Throws of `type` are taken where both
  /// sessions have them, else of the type that they have most in common. `single`: only retests of
  /// one throw against one, for a session of one throw, whose scatter nobody knows.
  [[nodiscard]] DayVariation of_others(const std::string& judged, int index, const OnlyType& type,
                                       bool single) const;

 private:
  struct Own {
    std::string athlete;
    double square = 0.0;
    double explained = 0.0;
  };
  [[nodiscard]] const std::vector<Own>& each(int index, const OnlyType& type, bool single) const;

  const Pitches& pitches_;
  const Days& days_;
  mutable std::map<std::tuple<int, OnlyType, bool>, std::vector<Own>> known_;
};

}  // namespace moundwork::relate
