// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <string>

#include "core/base/progress.h"
#include "core/base/result.h"
#include "drivers/check/checks.h"
#include "drivers/station/station.h"

namespace moundwork::desk {

/// Those that ask for something; the numbers after them are the checks that kinds of instruments
/// bring, in the order of drivers::checked_kinds().
enum class CheckKind { rates, zero, weight, fork, tap };
[[nodiscard]] int check_kind_count();
/// Whether the station has something to check.
[[nodiscard]] bool has_check(const drivers::Station& station, CheckKind kind);

/// One check as it is asked for.
struct StationCheck {
  CheckKind kind = CheckKind::rates;
  double duration = 10.0;      ///< s
  drivers::PlateChoice plate;  ///< weight
  double mass = 20.0;          ///< kg, weight
  drivers::WeightPoint point = drivers::WeightPoint::centre;
  double frequency = 0.0;            ///< Hz, fork
  double microphone_distance = 0.0;  ///< m from the first plate, knocks; 0: held beside them
};

[[nodiscard]] QString check_title(CheckKind kind);
/// What people do while it records.
[[nodiscard]] QString check_task(CheckKind kind);
/// As CheckLine::check has it.
[[nodiscard]] std::string check_key(CheckKind kind);

/// Records the station for the check's duration and evaluates. Blocks; `progress` takes the share
/// done and returns false to stop early, which fails.
[[nodiscard]] Result<drivers::CheckSheet> run_check(const drivers::Station& station,
                                                    const StationCheck& check,
                                                    const Progress& progress);

/// A line's number in words and in a unit one can picture: "0.8 mm, at most 5.0 mm".
[[nodiscard]] QString found_words(const drivers::CheckLine& line);
[[nodiscard]] QString wanted_words(const drivers::CheckLine& line);

}  // namespace moundwork::desk
