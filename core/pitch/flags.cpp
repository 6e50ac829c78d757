// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/flags.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <numbers>
#include <utility>

#include "core/session/flagged.h"

namespace moundwork::pitch {
namespace {

using definitions::Flag;
using definitions::Foot;
using definitions::reads;
using session::flagged;

bool overlaps(const foot::TimeSpan& a, const foot::TimeSpan& b) {
  return a.begin <= b.end && b.begin <= a.end;
}

// How far a point of the ground lies inside of a plate's edge, m; negative outside.
double margin_on(const plate::PlateFrame& frame, double x, double y) {
  // On the surface, so the height follows from the plane through the centre.
  Eigen::Vector3d arm(x - frame.centre.x(), y - frame.centre.y(), 0.0);
  arm.z() = -(frame.up.x() * arm.x() + frame.up.y() * arm.y()) / frame.up.z();
  return std::min(frame.half_size.x() - std::abs(frame.rotation.col(0).dot(arm)),
                  frame.half_size.y() - std::abs(frame.rotation.col(1).dot(arm)));
}

// The same for plates that lie side by side: how far one can go from the point in any direction and
// still stand on one of them, up to `enough`.
double margin_on(const std::vector<foot::PlateWindow>& plates, double x, double y, double enough) {
  // Wide enough for the gap that mounting leaves between two plates.
  constexpr double seam = 0.01;
  const auto greatest = [&](double px, double py) {
    double most = -std::numeric_limits<double>::infinity();
    for (const foot::PlateWindow& plate : plates)
      most = std::max(most, margin_on(plate.frame, px, py));
    return most;
  };
  const double here = greatest(x, y);
  if (plates.size() == 1 || here >= enough) return here;
  static const auto directions = [] {
    std::array<Eigen::Vector2d, 16> around;
    for (std::size_t i = 0; i < around.size(); ++i) {
      const double angle =
          2.0 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(around.size());
      around[i] = {std::cos(angle), std::sin(angle)};
    }
    return around;
  }();
  constexpr double step = 0.002;
  for (double far = 0.0; far < enough + step; far += step)
    for (const Eigen::Vector2d& direction : directions)
      if (greatest(x + far * direction.x(), y + far * direction.y()) < -0.5 * seam)
        return far - step - 0.5 * seam;
  return enough;
}

// Least of it for the centre of pressure while the foot was used.
double least_margin(const foot::FootWindow& window, const foot::FootForces& foot,
                    const foot::TimeSpan& used, const definitions::Settings& settings) {
  double least = std::numeric_limits<double>::infinity();
  const auto first = std::max<Eigen::Index>(0, static_cast<Eigen::Index>(foot.index(used.begin)));
  const auto last =
      std::min<Eigen::Index>(foot.size() - 1, static_cast<Eigen::Index>(foot.index(used.end)));
  for (Eigen::Index i = first; i <= last; ++i)
    if (foot.z(i) >= settings.least_cop_force && !std::isnan(foot.cop_x(i)))
      least = std::min(
          least, margin_on(window.plates(), foot.cop_x(i), foot.cop_y(i), settings.edge_margin));
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

// One line however many gaps there are: a rate stated wrongly makes one at every block.
void add_gaps(const foot::PlateWindow& window, std::string_view who,
              const std::function<bool(const foot::TimeSpan&)>& matters,
              std::vector<session::ResultFlag>& flags) {
  int gaps = 0;
  double all = 0.0, longest = 0.0;
  foot::TimeSpan first;
  for (const foot::TimeSpan& gap : window.gaps) {
    if (!matters(gap)) continue;
    if (gaps++ == 0) first = gap;
    all += gap.end - gap.begin;
    longest = std::max(longest, gap.end - gap.begin);
  }
  if (gaps == 1)
    flags.push_back(flagged(Flag::missing_samples, fmt::arg("plate", who),
                            fmt::arg("lost", 1e3 * all), fmt::arg("time", first.begin)));
  else if (gaps > 1)
    flags.push_back(flagged(Flag::missing_samples_often, fmt::arg("plate", who),
                            fmt::arg("times", gaps), fmt::arg("lost", 1e3 * all),
                            fmt::arg("time", first.begin), fmt::arg("longest", 1e3 * longest)));
}

bool has_long_gap(const foot::PlateWindow& window, const foot::TimeSpan& used, double longest) {
  return std::any_of(window.gaps.begin(), window.gaps.end(), [&](const foot::TimeSpan& gap) {
    return gap.end - gap.begin > longest && overlaps(gap, used);
  });
}

}  // namespace

std::vector<session::ResultFlag> plate_flags(const foot::PlateWindow& window, std::string_view who,
                                             double first_zero, foot::TimeSpan used,
                                             foot::TimeSpan summed,
                                             const definitions::Settings& settings) {
  std::vector<session::ResultFlag> flags;
  const auto matters = [&](const foot::TimeSpan& span) {
    return overlaps(span, used) || overlaps(span, summed);
  };
  if (auto doubt = session::clock_doubt(window.rates)) flags.push_back(std::move(*doubt));
  add_gaps(window, who, matters, flags);
  for (const auto& [span, channel] : window.clipped)
    if (matters(span)) {
      flags.push_back(flagged(Flag::clipped_channel, fmt::arg("channel", channel),
                              fmt::arg("plate", who), fmt::arg("time", span.begin)));
      break;
    }
  if (!window.zero_seen)
    flags.push_back(flagged(Flag::zero_not_seen, fmt::arg("plate", who)));
  else if (std::abs(window.zero(2) - first_zero) > settings.zero_drift_flag)
    flags.push_back(flagged(Flag::drifted_zero, fmt::arg("plate", who),
                            fmt::arg("moved", window.zero(2) - first_zero)));
  return flags;
}

std::vector<session::ResultFlag> load_flags(const foot::FootWindow& window,
                                            const foot::FootForces& foot, session::PlateRole role,
                                            foot::TimeSpan used, foot::TimeSpan summed,
                                            const definitions::Settings& settings) {
  const char* who = role == session::PlateRole::back ? "back" : "lead";
  std::vector<session::ResultFlag> flags;
  // Some ten times what the heaviest landing has: only a wrong unit or calibration gives so much.
  constexpr double most_N = 20e3;
  if (const double greatest = std::max(greatest_force(foot, used), greatest_force(foot, summed));
      greatest > most_N)
    flags.push_back(flagged(Flag::implausible_force, fmt::arg("plate", who),
                            fmt::arg("force", greatest / 1e3)));
  if (const double margin = least_margin(window, foot, used, settings);
      margin < settings.edge_margin)
    flags.push_back(flagged(
        window.plates().size() == 1 ? Flag::foot_partly_off_plate : Flag::foot_partly_off_plates,
        fmt::arg("margin", 1e3 * std::max(margin, 0.0)), fmt::arg("plate", who)));
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
    const Foot foot = definitions::entry(static_cast<Quantity>(i)).foot;
    if ((reads(foot, Foot::back) && back_gap) || (reads(foot, Foot::lead) && lead_gap))
      quantities[i] = std::numeric_limits<double>::quiet_NaN();
  }
}

}  // namespace moundwork::pitch
