// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "core/base/progress.h"
#include "core/base/result.h"
#include "core/model/performance.h"
#include "core/model/station.h"

/// Session files of an invented lab, with the true values beside each (docs/simulated-day.md).
/// The same settings and seed give the same bytes of samples on every machine.
namespace moundwork::model {

struct SessionSettings {
  std::uint64_t seed = 1;
  int athlete = 1;  ///< number within the day; another number is another athlete
  StationSettings station;
  PerformanceSettings performance{.pitches = 1, .activities = false, .heel_cue = false};
  int compression = 4;       ///< deflate level of the session file, 0 to 9
  std::string zone = "UTC";  ///< IANA name of the invented lab's time zone
};

struct DaySettings {
  std::uint64_t seed = 1;
  int athletes = 12;
  PerformanceSettings performance;  ///< of each athlete's session
  StationSettings station;
  int compression = 4;
  std::string zone = "UTC";  ///< as above
};

/// What was written of one athlete.
struct WrittenSession {
  std::filesystem::path session;
  std::filesystem::path truth;
  std::string athlete;
  std::size_t throws = 0;
  double duration = 0.0;  ///< s
};

struct WrittenDay {
  std::vector<WrittenSession> sessions;
  std::vector<std::filesystem::path> sheets;  ///< roster, coach's log, station sheet
};

/// Writes `path` and, beside it, the same name with the ending .truth.json; when stopped, neither.
[[nodiscard]] Result<WrittenSession> simulate_session(const std::filesystem::path& path,
                                                      const SessionSettings& settings,
                                                      const Progress& progress = {});

/// Writes athlete-NN.h5 and athlete-NN.truth.json of every athlete, roster.csv, log.csv and
/// station.csv into a directory, which is made if it is not there. When stopped, the sessions that
/// are whole stay.
[[nodiscard]] Result<WrittenDay> simulate_day(const DaySettings& settings,
                                              const std::filesystem::path& directory,
                                              const Progress& progress = {});

}  // namespace moundwork::model
