// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/flags.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace moundwork::pitch {
namespace {

bool overlaps(const foot::TimeSpan& a, const foot::TimeSpan& b) {
  return a.begin <= b.end && b.begin <= a.end;
}

// Least distance of the centre of pressure from the plate's edge while the foot was used, m;
// negative outside.
double least_margin(const foot::PlateWindow& window, const foot::FootForces& foot,
                    const foot::TimeSpan& used, double least_force) {
  double least = std::numeric_limits<double>::infinity();
  const auto first = std::max<Eigen::Index>(0, static_cast<Eigen::Index>(foot.index(used.begin)));
  const auto last =
      std::min<Eigen::Index>(foot.size() - 1, static_cast<Eigen::Index>(foot.index(used.end)));
  const Eigen::Vector3d along = window.frame.rotation.col(0);
  const Eigen::Vector3d across = window.frame.rotation.col(1);
  for (Eigen::Index i = first; i <= last; ++i) {
    if (!(foot.z(i) >= least_force) || std::isnan(foot.cop_x(i))) continue;
    // On the surface, so the height follows from the plane through the centre.
    Eigen::Vector3d arm(foot.cop_x(i) - window.frame.centre.x(),
                        foot.cop_y(i) - window.frame.centre.y(), 0.0);
    arm.z() =
        -(window.frame.up.x() * arm.x() + window.frame.up.y() * arm.y()) / window.frame.up.z();
    least = std::min({least, window.frame.half_size.x() - std::abs(along.dot(arm)),
                      window.frame.half_size.y() - std::abs(across.dot(arm))});
  }
  return least;
}

// Greatest component of the force while the foot was used, N.
double greatest_force(const foot::FootForces& foot, const foot::TimeSpan& used) {
  double greatest = 0.0;
  for (const Eigen::ArrayXd* force : {&foot.x, &foot.y, &foot.z}) {
    const auto first = std::max<Eigen::Index>(0, static_cast<Eigen::Index>(foot.index(used.begin)));
    const auto last =
        std::min<Eigen::Index>(force->size() - 1, static_cast<Eigen::Index>(foot.index(used.end)));
    for (Eigen::Index i = first; i <= last; ++i)
      greatest = std::max(greatest, std::abs((*force)(i)));
  }
  return greatest;
}

enum class Foot { back, lead, both, none };

Foot foot_of(Quantity quantity) {
  if (quantity == Quantity::ball_speed || quantity == Quantity::contact_to_release)
    return Foot::none;
  if (quantity <= Quantity::load_tilt) return Foot::back;
  if (quantity <= Quantity::vertical_rate_mean_bw) return Foot::lead;
  if (quantity >= Quantity::balance_path_length) return Foot::back;
  return Foot::both;
}

bool has_long_gap(const foot::PlateWindow& window, const foot::TimeSpan& used, double longest) {
  return std::any_of(window.gaps.begin(), window.gaps.end(), [&](const foot::TimeSpan& gap) {
    return gap.end - gap.begin > longest && overlaps(gap, used);
  });
}

}  // namespace

std::vector<session::ResultFlag> plate_flags(const foot::PlateWindow& window,
                                             const foot::FootForces& foot, const char* who,
                                             double first_zero, foot::TimeSpan used,
                                             foot::TimeSpan summed,
                                             const definitions::Settings& settings) {
  std::vector<session::ResultFlag> flags;
  const auto matters = [&](const foot::TimeSpan& span) {
    return overlaps(span, used) || overlaps(span, summed);
  };
  for (const foot::TimeSpan& gap : window.gaps)
    if (matters(gap))
      flags.push_back(
          {"missing_samples", fmt::format("the {} plate lost {:.0f} ms at {:.3f} s", who,
                                          1e3 * (gap.end - gap.begin), gap.begin)});
  for (const auto& [span, channel] : window.clipped)
    if (matters(span)) {
      flags.push_back({"clipped_channel",
                       fmt::format("channel {} of the {} plate reached its limit at {:.3f} s, so "
                                   "its forces are too small there",
                                   channel, who, span.begin)});
      break;
    }
  // Some ten times what the heaviest landing has: only a wrong unit or calibration gives so much.
  constexpr double most_N = 20e3;
  if (const double greatest = std::max(greatest_force(foot, used), greatest_force(foot, summed));
      greatest > most_N)
    flags.push_back({"implausible_force",
                     fmt::format("the {} plate shows {:.3g} kN, which no athlete gives; check its "
                                 "units and calibration",
                                 who, greatest / 1e3)});
  if (!window.zero_seen)
    flags.push_back({"zero_not_seen",
                     fmt::format("the {} plate was never seen unloaded, its zero is taken as it "
                                 "came",
                                 who)});
  else if (std::abs(window.zero(2) - first_zero) > settings.zero_drift_flag)
    flags.push_back({"drifted_zero",
                     fmt::format("the {} plate's vertical zero moved {:.1f} N since the session's "
                                 "first",
                                 who, window.zero(2) - first_zero)});
  if (const double margin = least_margin(window, foot, used, settings.least_cop_force);
      margin < settings.edge_margin)
    flags.push_back({"foot_partly_off_plate",
                     fmt::format("the centre of pressure came within {:.0f} mm of the {} plate's "
                                 "edge, part of the foot may be off it",
                                 1e3 * std::max(margin, 0.0), who)});
  return flags;
}

void blank_gaps(const foot::PlateWindow& back, const foot::PlateWindow& lead,
                const MeasuredSpans& used, const definitions::Settings& settings,
                QuantityValues& quantities) {
  const bool back_gap = has_long_gap(back, used.back, settings.longest_bridge);
  const bool lead_gap = has_long_gap(lead, used.lead, settings.longest_bridge);
  if (has_long_gap(back, used.summed, settings.longest_bridge) ||
      has_long_gap(lead, used.summed, settings.longest_bridge))
    for (const Quantity momentum : {Quantity::momentum_at_contact, Quantity::momentum_at_release})
      at(quantities, momentum) = std::numeric_limits<double>::quiet_NaN();
  for (std::size_t i = 0; i < quantity_count; ++i) {
    const Foot foot = foot_of(static_cast<Quantity>(i));
    const bool touched = (foot == Foot::back && back_gap) || (foot == Foot::lead && lead_gap) ||
                         (foot == Foot::both && (back_gap || lead_gap));
    if (touched) quantities[i] = std::numeric_limits<double>::quiet_NaN();
  }
}

}  // namespace moundwork::pitch
