// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/foot/foot_window.h"

namespace moundwork::pitch {

/// One plate of a throw, beside what it recorded.
struct PlateOfThrow {
  int device = -1;          ///< index into Session::devices
  std::string ordinal;      ///< what stands before "plate"
  double first_zero = 0.0;  ///< N, vertical, the session's first: what drift is told from
};

/// The plates under one foot of a throw.
struct FootOfThrow {
  foot::FootWindow window;
  std::vector<PlateOfThrow> plates;  ///< as the window's
};

/// A plate under no foot, around a throw.
struct OtherPlate {
  std::string name;  ///< "plate 3 of the imported file"
  foot::PlateWindow window;
};

/// All that the plates recorded of a throw.
struct PlatesOfThrow {
  FootOfThrow back, lead;
  std::vector<OtherPlate> others;
};

}  // namespace moundwork::pitch
