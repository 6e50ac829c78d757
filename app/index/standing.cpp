// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/standing.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace moundwork::index {

Result<Standing> stand(const Index& index, definitions::Quantity quantity,
                       const GroupFilter& filter, const std::string& athlete) {
  const auto members = group(index, quantity, filter);
  if (!members) return tl::make_unexpected(members.error());
  Standing standing;
  std::vector<double> others;
  for (const Member& member : *members) {
    if (!athlete.empty() && member.athlete == athlete)
      standing.own = member;
    else
      others.push_back(member.mean.value);
    if (std::isfinite(member.mean.u)) standing.u = std::max(standing.u, member.mean.u);
  }
  standing.others = summary::spread_of(others);
  if (standing.own && standing.others.middle)
    standing.place = summary::place_of(standing.own->mean.value, others);
  return standing;
}

}  // namespace moundwork::index
