// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string_view>

namespace moundwork::relate {

enum class Verdict {
  shown,        ///< beyond what chance and the number of tests explain
  shown_here,   ///< likewise for these athletes, but they are too few or too different to speak for
                ///< others
  little,       ///< not shown, and the interval leaves no room for one worth knowing
  cannot_tell,  ///< not shown, but these pitches could not have shown it either
  not_tested,   ///< there to look at: no question's number, and nobody named it
  undefined     ///< nothing to compare: a constant column, or too few to compute
};

[[nodiscard]] constexpr std::string_view name_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::shown:
      return "shown";
    case Verdict::shown_here:
      return "shown here";
    case Verdict::little:
      return "little";
    case Verdict::cannot_tell:
      return "cannot tell";
    case Verdict::not_tested:
      return "not tested";
    case Verdict::undefined:
      return "undefined";
  }
  return "undefined";
}

}  // namespace moundwork::relate
