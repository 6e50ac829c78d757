// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

namespace moundwork::desk {

/// Extent of a label along the time axis, in pixels.
struct LabelSpan {
  double left = 0.0;
  double right = 0.0;
};

/// Row of each label, from 0, so that labels of one row do not touch. Labels keep their order of
/// left edges; the fewest rows that this takes.
[[nodiscard]] std::vector<int> label_rows(const std::vector<LabelSpan>& labels, double apart);

}  // namespace moundwork::desk
