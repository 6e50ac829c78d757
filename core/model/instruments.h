// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <functional>
#include <vector>

#include "core/base/result.h"
#include "core/model/performance.h"
#include "core/model/station.h"
#include "core/session/session.h"
#include "core/session/writer.h"

/// What the station's instruments make of a performance: samples, arrivals and radar lines as a
/// recorder would see them, in the order of their arrival.
namespace moundwork::model {

/// Where the samples go; a failure ends the recording and is handed on.
struct Sink {
  std::function<Result<void>(int device, const session::Block&, const session::RawSamples&)>
      samples;
  std::function<Result<void>(const session::RadarReading&)> reading;
  /// Told the session time reached, s, and answers whether to go on; may be empty.
  std::function<bool(double)> goes_on_at;
};

/// A block that never arrived.
struct LostBlock {
  int device = 0;
  std::int64_t samples = 0;
  double time = 0.0;  ///< session time of its first sample, s
};

/// Plays the performance to the station's instruments. Deterministic by seed.
[[nodiscard]] Result<std::vector<LostBlock>> record(const Performance& performance,
                                                    const Station& station,
                                                    const StationSettings& settings,
                                                    std::uint64_t seed, const Sink& sink);

}  // namespace moundwork::model
