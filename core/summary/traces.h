// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "core/base/progress.h"
#include "core/base/result.h"
#include "core/session/reader.h"
#include "core/session/results.h"

namespace moundwork::summary {

/// A force over time from lead contact: mean of the throws, with their spread. BW.
struct MeanTrace {
  Eigen::ArrayXd mean;
  Eigen::ArrayXd sd;  ///< NaN with one throw
};

/// Mean of one event's times from lead contact.
struct MeanEvent {
  double time = 0.0;  ///< s
  int throws = 0;     ///< that have it
};

struct ForceTraces {
  int throws = 0;
  double start = 0.0, step = 0.0;  ///< s from lead contact
  MeanTrace back_x, lead_x, lead_z;
  std::optional<MeanEvent> drive_peak, back_foot_off, braking_peak, release;

  [[nodiscard]] double time(Eigen::Index i) const { return start + static_cast<double>(i) * step; }
};

/// A place under the back foot: along it in percent (0 heel, 100 toe), and in metres toward home
/// from the foot's line.
struct FootPoint {
  double along = 0.0;
  double forward = 0.0;
};

/// The centre of pressure under the back foot, each phase cut into equal parts of its time and
/// averaged over the throws.
struct FootPath {
  int throws = 0;                ///< with a drive
  std::vector<FootPoint> load;   ///< back-leg loaded to drive start; empty where no throw has one
  std::vector<FootPoint> drive;  ///< drive start to drive peak
  FootPoint drive_peak;          ///< mean
  std::vector<FootPoint> each_peak;  ///< of each throw
  double length = 0.0;               ///< m, heel to toe
  bool toe_right = true;             ///< seen from above with home plate at the top
  session::FootLineSource source = session::FootLineSource::foot_length;  ///< of the line
};

struct Traces {
  ForceTraces forces;
  std::optional<FootPath> foot;  ///< none without a foot line
};

/// Reads and averages `throws`, which are some of `results`, under the settings of that analysis.
/// Events are those of the results, moves by hand included.
[[nodiscard]] Result<Traces> read_traces(const session::Reader& reader,
                                         const session::ResultSet& results,
                                         const std::vector<session::ResultThrow>& throws,
                                         const Progress& progress = {});

}  // namespace moundwork::summary
