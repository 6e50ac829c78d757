// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/intake/plate_roles.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <utility>

#include "core/base/units.h"
#include "core/intake/hardest_landing.h"
#include "core/plate/wrench.h"

namespace moundwork::intake {
namespace {

using c3d::ForcePlatform;
using PlateResult = Result<ForcePlatform>;
using Plates = std::vector<const ForcePlatform*>;

Result<Plates> plates_numbered(const std::vector<PlateResult>& plates,
                               const std::vector<int>& numbers, const std::string& file,
                               const char* option) {
  Plates found;
  for (const int number : numbers) {
    if (number < 1 || number > static_cast<int>(plates.size()))
      return fail(file, fmt::format("has no plate {}, it has {}", number, plates.size()),
                  fmt::format("give {} a number from 1 to {}", option, plates.size()));
    const PlateResult& plate = plates[static_cast<std::size_t>(number - 1)];
    if (!plate) return tl::make_unexpected(plate.error());
    if (std::find(found.begin(), found.end(), &*plate) != found.end())
      return fail(file, fmt::format("plate {} was named twice as {}", number, option),
                  "give each plate once");
    found.push_back(&*plate);
  }
  return found;
}

// What a plate carried: force, N, less its baseline.
std::optional<Eigen::ArrayX3d> carried(const c3d::File& file, const ForcePlatform& platform) {
  const auto map = plate::WrenchMap::make(platform.description);
  if (!map) return std::nullopt;
  Eigen::MatrixXd channels = c3d::scaled(file.analog, platform.channels);
  for (std::size_t c = 0; c < platform.channels.size(); ++c)
    channels.col(static_cast<Eigen::Index>(c)).array() -=
        platform.baseline(static_cast<Eigen::Index>(c)) *
        file.analog.channels[static_cast<std::size_t>(platform.channels[c])].scale;
  return Eigen::ArrayX3d((*map)(channels).leftCols<3>());
}

bool in(const Plates& plates, const ForcePlatform* plate) {
  return std::find(plates.begin(), plates.end(), plate) != plates.end();
}

// A plate's force around the landing.
class AroundLanding {
 public:
  AroundLanding(const CarriedForce& carried, Eigen::Index landing, double rate)
      : force_(carried.force),
        zero_(empty_reading(carried)),
        landing_(static_cast<double>(landing)),
        rate_(rate) {}

  // N, what it carried above an empty plate in the last of the drive.
  [[nodiscard]] double in_drive() const { return mean(-0.40, -0.04).z() - zero_; }

  // N, the most that any hundredth of a second after the landing differs from just before it. A
  // foot at a plate's rim pushes more than it weighs there, so all of the force counts.
  [[nodiscard]] double in_landing() const {
    constexpr double piece = 0.01;
    const Eigen::Vector3d before = mean(-0.10, -0.04);
    double most = 0.0;
    for (double time = 0.0; time < 0.25; time += piece)
      most = std::max(most, (mean(time, time + piece) - before).norm());
    return most;
  }

 private:
  // Over [from, to) in s about the landing; 0 outside of the recording.
  [[nodiscard]] Eigen::Vector3d mean(double from, double to) const {
    const auto sample = [&](double time) {
      return std::clamp<Eigen::Index>(static_cast<Eigen::Index>(landing_ + time * rate_), 0,
                                      force_.rows());
    };
    const Eigen::Index first = sample(from), count = sample(to) - first;
    if (count <= 0) return Eigen::Vector3d::Zero();
    return force_.middleRows(first, count).colwise().mean().matrix().transpose();
  }

  const Eigen::ArrayX3d& force_;
  double zero_, landing_, rate_;
};

// Sample at which these plates together first carry a load, N.
std::optional<Eigen::Index> first_load(const std::vector<CarriedForce>& all, const Plates& plates,
                                       double load) {
  Eigen::ArrayXd vertical;
  for (const CarriedForce& one : all)
    if (in(plates, one.plate)) {
      if (vertical.size() == 0) vertical = Eigen::ArrayXd::Zero(one.force.rows());
      vertical += one.force.col(2) - empty_reading(one);
    }
  const auto first = std::find_if(vertical.begin(), vertical.end(),
                                  [load](double carried) { return carried >= load; });
  if (first == vertical.end()) return std::nullopt;
  return first - vertical.begin();
}

// Of the plates without a foot the one that first carries a load, N; null where none does.
const ForcePlatform* first_loaded(const std::vector<CarriedForce>& all, const PlateRoles& roles,
                                  double load) {
  const ForcePlatform* found = nullptr;
  std::optional<Eigen::Index> earliest;
  for (const CarriedForce& one : all) {
    if (in(roles.back, one.plate) || in(roles.lead, one.plate)) continue;
    const auto first = first_load(all, {one.plate}, load);
    if (!first || (earliest && *first >= *earliest)) continue;
    earliest = first;
    found = one.plate;
  }
  return found;
}

Eigen::Vector3d middle_of(const ForcePlatform& plate) {
  const auto& corners = plate.description.corners;
  return (corners[0] + corners[1] + corners[2] + corners[3]) / 4.0;
}

bool nearer_to_back(const ForcePlatform& plate, const PlateRoles& roles) {
  const auto from = [&](const ForcePlatform& other) {
    return (middle_of(plate) - middle_of(other)).norm();
  };
  return from(*roles.main_back) < from(*roles.main_lead);
}

void by_number(Plates& plates) {
  std::sort(plates.begin(), plates.end(),
            [](const auto* a, const auto* b) { return a->number < b->number; });
}

}  // namespace

Result<PlateRoles> plate_roles(const c3d::File& file, const std::vector<PlateResult>& plates,
                               const Facts& facts, double mass, std::vector<std::string>& remarks) {
  PlateRoles roles;
  auto back = plates_numbered(plates, facts.back_plates, file.name, "back plate");
  if (!back) return tl::make_unexpected(back.error());
  auto lead = plates_numbered(plates, facts.lead_plates, file.name, "lead plate");
  if (!lead) return tl::make_unexpected(lead.error());
  roles.back = std::move(*back);
  roles.lead = std::move(*lead);
  for (const ForcePlatform* plate : roles.back)
    if (in(roles.lead, plate))
      return fail(file.name, "the same plate was named as back and as lead plate",
                  "give each foot plates of its own");

  constexpr double first_share = 0.2;     // of the body weight, by which a plate is somebody's
  constexpr double drive_share = 0.02;    // by which it is the back foot's beside another
  constexpr double landing_share = 0.01;  // and the lead foot's
  const double weight = mass * standard_gravity;
  const bool find_back = roles.back.empty(), find_lead = roles.lead.empty();
  std::vector<CarriedForce> all;
  std::vector<bool> may_land, may_stand;
  for (const PlateResult& plate : plates) {
    if (!plate) {
      if (find_back || find_lead) remarks.push_back(plate.error().sentence());
      continue;
    }
    auto force = carried(file, *plate);
    if (!force) continue;
    all.push_back({&*plate, std::move(*force)});
    may_land.push_back(find_lead ? !in(roles.back, &*plate) : in(roles.lead, &*plate));
    may_stand.push_back(find_back ? !in(roles.lead, &*plate) : in(roles.back, &*plate));
  }
  std::optional<Eigen::Index> landing;
  if (find_back || find_lead) {
    if (const auto found = hardest_landing(all, may_land, may_stand, weight, file.analog.rate)) {
      landing = found->sample;
      if (find_back) {
        roles.back.push_back(found->stood_on);
        remarks.push_back(
            fmt::format("plate {} was taken as the back foot's, because it was stood on before "
                        "the hardest landing",
                        found->stood_on->number));
      }
      if (find_lead) {
        roles.lead.push_back(found->on);
        remarks.push_back(
            fmt::format("plate {} was taken as the lead foot's, because the hardest landing is "
                        "on it",
                        found->on->number));
      }
    }
  }
  for (const bool is_back : {true, false}) {
    Plates& role = is_back ? roles.back : roles.lead;
    if (!role.empty()) continue;
    const char* name = is_back ? "back" : "lead";
    const ForcePlatform* next = first_loaded(all, roles, first_share * weight);
    if (next == nullptr)
      return fail(file.name, fmt::format("no plate is loaded that could be the {} plate", name),
                  is_back ? Remedy::back_plate : Remedy::lead_plate);
    role.push_back(next);
    remarks.push_back(fmt::format("plate {} was taken as the {} foot's, by which is loaded when",
                                  next->number, name));
  }
  if (!landing) landing = first_load(all, roles.lead, first_share * weight);
  roles.main_back = roles.back.front();
  roles.main_lead = roles.lead.front();
  for (const CarriedForce& one : all) {
    if (in(roles.back, one.plate) || in(roles.lead, one.plate)) continue;
    const AroundLanding around(one, landing.value_or(0), file.analog.rate);
    const bool in_drive = landing && around.in_drive() > drive_share * weight;
    const bool in_landing = landing && around.in_landing() > landing_share * weight;
    // What the back foot turns and drags onto while the lead foot lands lies beside it.
    const bool of_back = in_drive || (in_landing && nearer_to_back(*one.plate, roles));
    if (find_back && of_back)
      roles.back.push_back(one.plate);
    else if (find_lead && in_landing && !of_back)
      roles.lead.push_back(one.plate);
    else {
      roles.others.push_back(one.plate);
      continue;
    }
    remarks.push_back(
        fmt::format("plate {} was taken as the {} foot's as well, because that foot loads it",
                    one.plate->number, of_back ? "back" : "lead"));
  }
  if (find_back) by_number(roles.back);
  if (find_lead) by_number(roles.lead);
  return roles;
}

}  // namespace moundwork::intake
