// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/intake/plate_roles.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <utility>

#include "core/base/units.h"
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

// The reading of an empty plate, where the file gives none: a twentieth of a trial is lower.
double empty_reading(Eigen::ArrayXd vertical) {
  const auto low = vertical.begin() + vertical.size() / 20;
  std::nth_element(vertical.begin(), low, vertical.end());
  return *low;
}

struct Loaded {
  const ForcePlatform* plate = nullptr;
  Eigen::ArrayX3d force;              // N
  std::optional<Eigen::Index> first;  // sample with a fifth of the body weight
};

bool in(const Plates& plates, const ForcePlatform* plate) {
  return std::find(plates.begin(), plates.end(), plate) != plates.end();
}

// A plate's force around the landing.
class AroundLanding {
 public:
  AroundLanding(const Eigen::ArrayX3d& force, Eigen::Index landing, double rate)
      : force_(force), landing_(static_cast<double>(landing)), rate_(rate) {}

  // N, what it carried above an empty plate in the last of the drive.
  [[nodiscard]] double in_drive() const {
    return mean(-0.40, -0.04).z() - empty_reading(force_.col(2));
  }

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
  double landing_, rate_;
};

// Sample at which a foot lands: the plate is empty, then carries a fifth of the weight and brakes,
// while another has long been stood on; none where nothing of the kind happened.
std::optional<Eigen::Index> landing_on(const Loaded& plate, const Loaded& stood, double weight,
                                       double rate) {
  constexpr double load = 0.2, empty = 0.05, braking = 0.15;       // of the weight
  constexpr double clear = 0.1, standing = 0.4, braked_in = 0.25;  // s
  const double zero = empty_reading(plate.force.col(2));
  const double other_zero = empty_reading(stood.force.col(2));
  const auto samples = [&](double time) { return static_cast<Eigen::Index>(time * rate); };
  const Eigen::Index size = plate.force.rows();
  const auto all_of = [&](const Eigen::ArrayXd& values, auto holds) {
    return std::all_of(values.begin(), values.end(), holds);
  };
  for (Eigen::Index i = samples(standing); i < size; ++i) {
    const auto vertical = [&](Eigen::Index at) { return plate.force(at, 2) - zero; };
    if (vertical(i) < load * weight || vertical(i - 1) >= load * weight) continue;
    const Eigen::Index before = samples(clear);
    // The rise itself takes some hundredths of a second.
    const Eigen::ArrayXd clear_of = plate.force.col(2).segment(i - 2 * before, before) - zero;
    const Eigen::ArrayXd stand =
        stood.force.col(2).segment(i - samples(standing), samples(standing - clear)) - other_zero;
    const Eigen::Index after = std::min(samples(braked_in), size - i);
    if (all_of(clear_of, [&](double z) { return z < empty * weight; }) &&
        all_of(stand, [&](double z) { return z >= load * weight; }) &&
        -plate.force.col(0).segment(i, after).minCoeff() >= braking * weight)
      return i;
  }
  return std::nullopt;
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
  std::vector<Loaded> all;
  for (const PlateResult& plate : plates) {
    if (!plate) {
      if (roles.back.empty() || roles.lead.empty()) remarks.push_back(plate.error().sentence());
      continue;
    }
    auto force = carried(file, *plate);
    if (!force) continue;
    Loaded one{&*plate, std::move(*force), {}};
    for (Eigen::Index i = 0; i < one.force.rows() && !one.first; ++i)
      if (one.force(i, 2) >= first_share * weight) one.first = i;
    all.push_back(std::move(one));
  }
  std::stable_sort(all.begin(), all.end(), [](const Loaded& a, const Loaded& b) {
    return a.first && (!b.first || *a.first < *b.first);
  });
  const bool find_back = roles.back.empty(), find_lead = roles.lead.empty();
  for (const bool is_back : {true, false}) {
    Plates& role = is_back ? roles.back : roles.lead;
    const char* name = is_back ? "back" : "lead";
    if (!role.empty()) continue;
    auto next = std::find_if(all.begin(), all.end(), [&](const Loaded& one) {
      return one.first && !in(roles.back, one.plate) && !in(roles.lead, one.plate);
    });
    // Where a foot lands while the back foot stands there, that plate is the lead foot's, even if
    // the back foot's others were loaded before.
    const auto stood = std::find_if(all.begin(), all.end(), [&](const Loaded& one) {
      return !roles.back.empty() && one.plate == roles.back.front();
    });
    std::optional<Eigen::Index> first_landing;
    for (auto one = all.begin(); !is_back && stood != all.end() && one != all.end(); ++one) {
      if (in(roles.back, one->plate)) continue;
      const auto landed = landing_on(*one, *stood, weight, file.analog.rate);
      if (!landed || (first_landing && *landed >= *first_landing)) continue;
      first_landing = landed;
      next = one;
    }
    if (next == all.end())
      return fail(file.name, fmt::format("no plate is loaded that could be the {} plate", name),
                  is_back ? Remedy::back_plate : Remedy::lead_plate);
    role.push_back(next->plate);
    remarks.push_back(fmt::format("plate {} was taken as the {} foot's, by which is loaded when",
                                  next->plate->number, name));
  }

  // The landing, by the lead foot's plates together.
  Eigen::ArrayXd lead_vertical;
  for (const Loaded& one : all)
    if (in(roles.lead, one.plate)) {
      if (lead_vertical.size() == 0) lead_vertical = Eigen::ArrayXd::Zero(one.force.rows());
      lead_vertical += one.force.col(2) - empty_reading(one.force.col(2));
    }
  Eigen::Index landing = 0;
  while (landing < lead_vertical.size() && lead_vertical(landing) < first_share * weight) ++landing;
  const bool landed = landing < lead_vertical.size();
  roles.main_back = roles.back.front();
  roles.main_lead = roles.lead.front();
  for (const Loaded& one : all) {
    if (in(roles.back, one.plate) || in(roles.lead, one.plate)) continue;
    const AroundLanding around(one.force, landing, file.analog.rate);
    const bool in_drive = landed && around.in_drive() > drive_share * weight;
    const bool in_landing = landed && around.in_landing() > landing_share * weight;
    if (find_back && in_drive)
      roles.back.push_back(one.plate);
    else if (find_lead && in_landing && !in_drive)
      roles.lead.push_back(one.plate);
    else {
      roles.others.push_back(one.plate);
      continue;
    }
    remarks.push_back(
        fmt::format("plate {} was taken as the {} foot's as well, because that foot loads it",
                    one.plate->number, in_drive ? "back" : "lead"));
  }
  if (find_back) by_number(roles.back);
  if (find_lead) by_number(roles.lead);
  return roles;
}

}  // namespace moundwork::intake
