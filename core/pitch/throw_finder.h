// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "core/definitions/settings.h"
#include "core/foot/load_trace.h"
#include "core/session/session.h"

namespace moundwork::pitch {

/// Coarse lead contacts (session time, s, to about a bin) of everything in a session that is a
/// throw: a drive from a back foot that has stood on its plate, then a landing on the lead plate
/// that brakes harder than any step. Walking, jogging, warm-up swings, stepping on and off are not.
/// Both traces must start at the same time. `body_weight` in N; traces tared (zero.h).
[[nodiscard]] std::vector<double> find_throws(const foot::LoadTrace& back,
                                              const foot::LoadTrace& lead, double body_weight,
                                              const definitions::Settings& settings);

/// A landing as a throw has it, on a plate that carried a foot already: none of its forces can be
/// told from that foot's.
struct SharedLanding {
  double time = 0.0;     ///< session time, s, to about a bin
  double carried = 0.0;  ///< N, what the plate carried just before
  session::PlateRole on = session::PlateRole::lead;
};

/// Those of a session, each after a drive from a back foot that has stood: the feet together do
/// what is done in a throw. One of which `find_throws` finds enough may be among them, where only
/// part of a foot is misplaced. The traces as for `find_throws`.
[[nodiscard]] std::vector<SharedLanding> find_shared_landings(
    const foot::LoadTrace& back, const foot::LoadTrace& lead, double body_weight,
    const definitions::Settings& settings);

}  // namespace moundwork::pitch
