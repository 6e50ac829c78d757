// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/live_feet.h"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <utility>

namespace moundwork::drivers {
namespace {

constexpr double same_place = 1e-4;  // of a bin: less is rounding of times

/// A plate's bins about one moment, with their shares in it; at most two.
struct BinShare {
  const LiveBin* bin = nullptr;
  double share = 0.0;
};
using BinShares = std::array<BinShare, 2>;

/// None where the plate has nothing there.
BinShares bins_about(const LivePlate& plate, double time) {
  const double at = (time - plate.start) / plate.bin - 0.5;
  const auto last = static_cast<double>(plate.bins.size()) - 1.0;
  // Bins know what lies within them, half a bin to either side of their middle.
  if (plate.bins.empty() || at < -0.5 - same_place || at > last + 0.5 + same_place) return {};
  const double held = std::clamp(at, 0.0, last);
  const double first = std::floor(held + same_place);
  const double beyond = held - first;
  const auto i = static_cast<std::size_t>(first);
  if (beyond < same_place) return {{{&plate.bins[i], 1.0}, {}}};
  return {{{&plate.bins[i], 1.0 - beyond}, {&plate.bins[i + 1], beyond}}};
}

/// What one plate adds to a foot's bin.
struct PlatePart {
  Eigen::Vector3d force = Eigen::Vector3d::Zero();
  Eigen::Vector3d least = Eigen::Vector3d::Zero(), greatest = Eigen::Vector3d::Zero();
  double placed = 0.0;                              // N of vertical force whose place is known
  Eigen::Vector2d place = Eigen::Vector2d::Zero();  // m, where that acts
  double free_moment = 0.0;                         // N m
};

PlatePart part_of(const LivePlate& plate, double time) {
  PlatePart part;
  const BinShares shares = bins_about(plate, time);
  if (shares[0].bin == nullptr) {
    part.force.setConstant(static_cast<double>(LiveBin::none));
    return part;
  }
  for (const auto& [bin, share] : shares) {
    if (bin == nullptr) continue;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const auto a = static_cast<Eigen::Index>(axis);
      const auto least = static_cast<double>(bin->least[axis]);
      const auto greatest = static_cast<double>(bin->greatest[axis]);
      const bool first = bin == shares[0].bin;
      part.force(a) += share * static_cast<double>(bin->force[axis]);
      part.least(a) = first ? least : std::min(part.least(a), least);
      part.greatest(a) = first ? greatest : std::max(part.greatest(a), greatest);
    }
    if (!std::isfinite(bin->cop[0])) continue;
    const double load = share * static_cast<double>(bin->force[2]);
    part.placed += load;
    part.place += load * Eigen::Vector2d(bin->cop[0], bin->cop[1]);
    part.free_moment += share * static_cast<double>(bin->free_moment);
  }
  if (part.placed != 0.0) part.place /= part.placed;
  return part;
}

LiveBin together(const std::vector<const LivePlate*>& plates, double time) {
  std::vector<PlatePart> parts;
  for (const LivePlate* plate : plates) parts.push_back(part_of(*plate, time));
  PlatePart sum;
  Eigen::Vector3d up = Eigen::Vector3d::Zero();
  for (std::size_t p = 0; p < parts.size(); ++p) {
    sum.force += parts[p].force;
    sum.least += parts[p].least;
    sum.greatest += parts[p].greatest;
    sum.placed += parts[p].placed;
    sum.place += parts[p].placed * parts[p].place;
    sum.free_moment += parts[p].free_moment;
    up += plates[p]->frame.up;
  }
  LiveBin bin;
  if (!sum.force.allFinite()) return bin;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const auto a = static_cast<Eigen::Index>(axis);
    bin.force[axis] = static_cast<float>(sum.force(a));
    bin.least[axis] = static_cast<float>(sum.least(a));
    bin.greatest[axis] = static_cast<float>(sum.greatest(a));
  }
  if (!(sum.placed > 0.0)) return bin;
  sum.place /= sum.placed;
  up.normalize();
  for (const PlatePart& part : parts) {
    if (part.placed == 0.0) continue;
    // As if all surfaces were one, which the arm lies in.
    Eigen::Vector3d arm;
    arm.head<2>() = part.place - sum.place;
    arm.z() = -up.head<2>().dot(arm.head<2>()) / up.z();
    sum.free_moment += up.dot(arm.cross(part.force));
  }
  bin.cop = {static_cast<float>(sum.place.x()), static_cast<float>(sum.place.y())};
  bin.free_moment = static_cast<float>(sum.free_moment);
  return bin;
}

double begin_of(const LivePlate& plate) { return plate.start; }
double end_of(const LivePlate& plate) {
  return plate.start + static_cast<double>(plate.bins.size()) * plate.bin;
}

// The plate whose bins are the foot's: of those with the shortest the one that goes on longest, so
// that a plate that fell silent holds up nobody.
bool better_grid(const LivePlate* a, const LivePlate* b) {
  if (a->bins.empty() != b->bins.empty()) return b->bins.empty();
  constexpr double alike = 1.01;
  if (a->bin * alike < b->bin || b->bin * alike < a->bin) return a->bin < b->bin;
  return end_of(*a) > end_of(*b) + longest_wait;
}

LiveTrace foot_of(const std::vector<const LivePlate*>& plates) {
  const LivePlate& grid = **std::min_element(plates.begin(), plates.end(), better_grid);
  LiveTrace foot;
  foot.role = grid.role;
  foot.bin = grid.bin;
  foot.zeroed =
      std::all_of(plates.begin(), plates.end(), [](const auto* plate) { return plate->zeroed; });
  double begin = begin_of(grid), end = end_of(grid);
  for (const LivePlate* plate : plates) {
    // One that has never sent anything is waited for as well, and no longer.
    begin = std::max(begin, plate->bins.empty() ? begin : begin_of(*plate));
    end = std::min(end, plate->bins.empty() ? begin_of(grid) : end_of(*plate));
  }
  end = std::max(end, end_of(grid) - longest_wait);
  const auto count = static_cast<double>(grid.bins.size());
  const auto middle = [&](double time) { return (time - grid.start) / grid.bin - 0.5; };
  // Bins whose middle lies within.
  const auto first =
      static_cast<std::size_t>(std::clamp(std::ceil(middle(begin) - same_place), 0.0, count));
  const auto after =
      static_cast<std::size_t>(std::clamp(std::floor(middle(end) + same_place) + 1.0, 0.0, count));
  foot.first_bin = grid.first_bin + static_cast<std::int64_t>(first);
  foot.start = grid.start + static_cast<double>(first) * grid.bin;
  for (std::size_t i = first; i < after; ++i) foot.bins.push_back(together(plates, grid.time(i)));
  return foot;
}

}  // namespace

const LiveTrace* LiveFeet::find(session::PlateRole role) const {
  const auto found = std::find_if(traces.begin(), traces.end(),
                                  [role](const LiveTrace& trace) { return trace.role == role; });
  return found == traces.end() ? nullptr : &*found;
}

LiveFeet feet_of(LiveSnapshot shown) {
  LiveFeet feet{shown.now, {}};
  for (const session::PlateRole role : {session::PlateRole::back, session::PlateRole::lead}) {
    std::vector<LivePlate*> plates;
    for (LivePlate& plate : shown.plates)
      if (plate.role == role) plates.push_back(&plate);
    if (plates.size() == 1)
      feet.traces.push_back(std::move(static_cast<LiveTrace&>(*plates.front())));
    else if (plates.size() > 1)
      feet.traces.push_back(foot_of({plates.begin(), plates.end()}));
  }
  return feet;
}

}  // namespace moundwork::drivers
