// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/base/result.h"

/// How many pitches a young arm may throw in a day, and how long it rests: general information with
/// its source, no medical advice. Schemes differ between countries and years, so the table carries
/// its date and a lab may bring its own.
namespace moundwork::safety {

/// After up to so many pitches in a day, so many calendar days of rest.
struct RestStep {
  int pitches = 0;
  int days = 0;
};

struct AgeBand {
  int from = 0, to = 0;        ///< whole years, both included
  int most_a_day = 0;          ///< pitches
  std::vector<RestStep> rest;  ///< ascending
  int rest_beyond = 0;         ///< days after more than the last step
};

struct PitchCountTable {
  std::string source;  ///< whose scheme
  std::string dated;   ///< ISO 8601 day or month of reading it
  std::string note;    ///< what the counts do not hold; one sentence
  std::vector<AgeBand> bands;
};

/// The table used when a lab brings none.
[[nodiscard]] const PitchCountTable& common_pitch_counts();

/// A lab's own table (TOML; docs/summaries.md). Fails on anything that is not plainly a table:
/// a limit read wrongly is worse than none.
[[nodiscard]] Result<PitchCountTable> read_pitch_counts(const std::filesystem::path& path);

/// Null where the table has no band for the age.
[[nodiscard]] const AgeBand* band_of(const PitchCountTable& table, int age);
[[nodiscard]] int rest_days(const AgeBand& band, int pitches);

}  // namespace moundwork::safety
