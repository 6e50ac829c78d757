// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>

#include "app/index/queries.h"
#include "core/summary/spread.h"

namespace moundwork::index {

/// How a group lies in one quantity, and where one athlete stands in it. SI units.
struct Standing {
  summary::Spread others;               ///< the group without the athlete
  std::optional<Member> own;            ///< the athlete, where a session fits the filter
  std::optional<summary::Place> place;  ///< among the others, where these are enough
  double u = 0.0;                       ///< greatest standard uncertainty of a mean
};
/// `athlete` by id; empty for the group alone.
[[nodiscard]] Result<Standing> stand(const Index& index, definitions::Quantity quantity,
                                     const GroupFilter& filter, const std::string& athlete);

}  // namespace moundwork::index
