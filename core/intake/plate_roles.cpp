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

// What a plate carried: vertical, N, less what it shows when nobody is on it.
std::optional<Eigen::ArrayXd> carried(const c3d::File& file, const ForcePlatform& platform) {
  const auto map = plate::WrenchMap::make(platform.description);
  if (!map) return std::nullopt;
  Eigen::MatrixXd channels = c3d::scaled(file.analog, platform.channels);
  for (std::size_t c = 0; c < platform.channels.size(); ++c)
    channels.col(static_cast<Eigen::Index>(c)).array() -=
        platform.baseline(static_cast<Eigen::Index>(c)) *
        file.analog.channels[static_cast<std::size_t>(platform.channels[c])].scale;
  return Eigen::ArrayXd((*map)(channels).col(2));
}

// The reading of an empty plate, where the file gives none: a twentieth of a trial is lower.
double empty_reading(Eigen::ArrayXd vertical) {
  const auto low = vertical.begin() + vertical.size() / 20;
  std::nth_element(vertical.begin(), low, vertical.end());
  return *low;
}

struct Loaded {
  const ForcePlatform* plate = nullptr;
  Eigen::ArrayXd vertical;            // N
  std::optional<Eigen::Index> first;  // sample with a fifth of the body weight
};

bool in(const Plates& plates, const ForcePlatform* plate) {
  return std::find(plates.begin(), plates.end(), plate) != plates.end();
}

// Mean over [from, to) in s about a sample; 0 outside of the recording.
double mean_over(const Eigen::ArrayXd& values, double at, double from, double to, double rate) {
  const auto clamp = [&](double time) {
    return std::clamp<Eigen::Index>(static_cast<Eigen::Index>(at + time * rate), 0, values.size());
  };
  const Eigen::Index first = clamp(from), last = clamp(to);
  return last > first ? values.segment(first, last - first).mean() : 0.0;
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

  constexpr double first_share = 0.2;   // of the body weight, by which a plate is somebody's
  constexpr double least_share = 0.03;  // by which it is a foot's beside another
  const double weight = mass * standard_gravity;
  std::vector<Loaded> all;
  for (const PlateResult& plate : plates) {
    if (!plate) {
      if (roles.back.empty() || roles.lead.empty()) remarks.push_back(plate.error().sentence());
      continue;
    }
    auto vertical = carried(file, *plate);
    if (!vertical) continue;
    Loaded one{&*plate, std::move(*vertical), {}};
    for (Eigen::Index i = 0; i < one.vertical.size() && !one.first; ++i)
      if (one.vertical(i) >= first_share * weight) one.first = i;
    one.vertical -= empty_reading(one.vertical);
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
    const auto next = std::find_if(all.begin(), all.end(), [&](const Loaded& one) {
      return one.first && !in(roles.back, one.plate) && !in(roles.lead, one.plate);
    });
    if (next == all.end())
      return fail(file.name, fmt::format("no plate is loaded that could be the {} plate", name),
                  is_back ? Remedy::back_plate : Remedy::lead_plate);
    role.push_back(next->plate);
    remarks.push_back(fmt::format("plate {} was taken as the {} plate, by who is loaded first",
                                  next->plate->number, name));
  }

  // The landing, by the lead foot's plates together.
  Eigen::Index landing = -1;
  Eigen::ArrayXd lead_vertical;
  for (const Loaded& one : all)
    if (in(roles.lead, one.plate)) {
      if (lead_vertical.size() == 0) lead_vertical = Eigen::ArrayXd::Zero(one.vertical.size());
      lead_vertical += one.vertical;
    }
  for (Eigen::Index i = 0; i < lead_vertical.size() && landing < 0; ++i)
    if (lead_vertical(i) >= first_share * weight) landing = i;
  for (const Loaded& one : all) {
    if (in(roles.back, one.plate) || in(roles.lead, one.plate)) continue;
    const auto at = static_cast<double>(landing);
    const double rate = file.analog.rate;
    const bool in_drive =
        landing >= 0 && mean_over(one.vertical, at, -0.40, -0.04, rate) > least_share * weight;
    const bool in_landing =
        landing >= 0 && mean_over(one.vertical, at, -0.01, 0.25, rate) > least_share * weight;
    if (find_back && in_drive)
      roles.back.push_back(one.plate);
    else if (find_lead && in_landing && !in_drive)
      roles.lead.push_back(one.plate);
    else {
      roles.others.push_back(one.plate);
      continue;
    }
    remarks.push_back(fmt::format("plate {} was taken to the {} foot as well, which loads it",
                                  one.plate->number, in_drive ? "back" : "lead"));
  }
  return roles;
}

}  // namespace moundwork::intake
