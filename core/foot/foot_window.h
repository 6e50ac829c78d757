// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <vector>

#include "core/base/result.h"
#include "core/foot/window.h"

namespace moundwork::foot {

/// What the plates under one foot recorded around a throw.
class FootWindow {
 public:
  /// Forces of several plates are summed on the samples of the fastest, those of others put there
  /// by cubic splines. Moments are about one centre, where the plates' noise is least correlated
  /// with itself (the mean of their centres by the variance of their vertical noise), each plate's
  /// pressure acting on its own surface: the centre of pressure is the mean of theirs by vertical
  /// force. Surfaces may lie at different heights; the free moment takes them as one. Gaps and
  /// clipping are those of any, white noise and zeros add as variances, a slower plate's noise as
  /// so much more at the common rate. Of the sum, accuracy, rates and zero say nothing: they are
  /// the plates' own. `plates`: at least one. Fails where they never recorded at the same time.
  [[nodiscard]] static Result<FootWindow> make(std::vector<PlateWindow> plates);

  /// All plates as one: of a single plate, itself.
  [[nodiscard]] const PlateWindow& whole() const { return sum_ ? *sum_ : plates_.front(); }
  /// Each plate's own; where there are several, on the samples of the whole.
  [[nodiscard]] const std::vector<PlateWindow>& plates() const { return plates_; }

 private:
  std::vector<PlateWindow> plates_;
  std::optional<PlateWindow> sum_;  // of several
};

}  // namespace moundwork::foot
