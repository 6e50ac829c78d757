// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <vector>

#include "core/base/progress.h"
#include "core/base/result.h"
#include "core/session/row_source.h"
#include "core/session/sample_clock.h"

namespace moundwork::session {

/// What one plate carried over a whole session, for drawing: least and greatest vertical force of
/// bins that are fixed to the samples' row numbers, so that a peak neither vanishes nor wanders
/// when the view moves.
struct LoadEnvelope {
  static constexpr Eigen::Index rows_per_bin = 64;

  Eigen::ArrayXd time;   ///< session time of each bin's first sample, s
  Eigen::ArrayXf least;  ///< N, lab z, about the plate's usual reading
  Eigen::ArrayXf greatest;
  double end = 0.0;                      ///< session time after the last sample, s
  std::vector<Eigen::Index> run_starts;  ///< bins before which samples are missing

  [[nodiscard]] Eigen::Index size() const { return time.size(); }
};

/// Streams a plate's samples through once; about as fast as reading them. Nobody stands on the
/// plate most of a session, so its median reading is taken as 0.
[[nodiscard]] Result<LoadEnvelope> trace_envelope(const RowSource& reader, const Plate& plate,
                                                  const SampleClock& clock,
                                                  const Progress& progress = {});

/// A stretch of an envelope in at most about `columns` pieces: bins are joined in powers of two
/// counted from the first, so the same samples always share a piece.
struct EnvelopeView {
  std::vector<double> time;  ///< s; NaN in all three breaks the line at a gap
  std::vector<double> least, greatest;
};
[[nodiscard]] EnvelopeView view_of(const LoadEnvelope& envelope, double from, double to,
                                   int columns);

}  // namespace moundwork::session
