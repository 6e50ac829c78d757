// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/label_rows.h"

#include <algorithm>
#include <numeric>

namespace moundwork::desk {

std::vector<int> label_rows(const std::vector<LabelSpan>& labels, double apart) {
  std::vector<std::size_t> order(labels.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return labels[a].left < labels[b].left; });
  std::vector<int> rows(labels.size());
  std::vector<double> ends;  // right edge of each row so far
  for (const std::size_t i : order) {
    const auto free = std::find_if(ends.begin(), ends.end(),
                                   [&](double end) { return labels[i].left >= end + apart; });
    rows[i] = static_cast<int>(free - ends.begin());
    if (free == ends.end())
      ends.push_back(labels[i].right);
    else
      *free = labels[i].right;
  }
  return rows;
}

}  // namespace moundwork::desk
