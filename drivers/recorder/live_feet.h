// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "drivers/recorder/live_view.h"

namespace moundwork::drivers {

/// The last seconds of both feet for a screen.
struct LiveFeet {
  double now = 0.0;               ///< session time, s
  std::vector<LiveTrace> traces;  ///< one for each foot that has a plate

  /// Null where no plate serves that foot.
  [[nodiscard]] const LiveTrace* find(session::PlateRole role) const;
};

/// s behind the others after which a plate counts as silent: what an instrument may send in one go.
inline constexpr double longest_wait = 1.0;

/// What the plates under each foot carry together, by the rules of core/foot/foot_window.h: a
/// single plate's trace as it is; of several the sum, on the bins of the one with the shortest,
/// those of the others put there by straight lines. The centre of pressure is the mean by vertical
/// force of those of the plates that are loaded, the free moment is about it, over the plates' mean
/// surface. `least` and `greatest` are bounds: the sum's own lie within them. A foot's zero is seen
/// when all its plates' are.
///
/// A foot's bin is there once all of its plates have sent theirs; it is NaN where one sent none,
/// and waits no longer than `longest_wait`. It begins where all of them are in the snapshot.
[[nodiscard]] LiveFeet feet_of(LiveSnapshot shown);

}  // namespace moundwork::drivers
