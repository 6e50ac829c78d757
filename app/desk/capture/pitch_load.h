// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <optional>
#include <string>

#include "app/desk/state/lab_folder.h"
#include "core/safety/pitch_count.h"

namespace moundwork::desk {

/// How many throws an athlete has made today, against the published daily limit of the age.
struct PitchLoad {
  int earlier = 0;         ///< in earlier sessions of today
  int uncounted = 0;       ///< sessions of today that have not been analysed, so not counted
  int now = 0;             ///< in this recording
  std::optional<int> age;  ///< whole years; unknown without a date of birth
};

/// Counts the earlier sessions of the athlete on the lab's day of today. Reads files: not for the
/// interface thread. `without` is the recording at hand.
[[nodiscard]] PitchLoad count_today(const LabFolder& lab, const std::string& athlete_id,
                                    const std::filesystem::path& without);

struct LoadWords {
  QString words;
  QString about;         ///< whose limit, and what it does not count
  bool caution = false;  ///< the limit is reached, or nearly (90 %)
};
[[nodiscard]] LoadWords load_words(const PitchLoad& load, const safety::PitchCountTable& table);

}  // namespace moundwork::desk
