// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/foot/foot_forces.h"

#include <algorithm>
#include <vector>

#include "core/signal/butterworth.h"

namespace moundwork::foot {
namespace {

FootForces forces_of(const PlateWindow& window, RowRange rows, const plate::WrenchSeries& filtered,
                     Eigen::ArrayXd contact_z, const definitions::Settings& settings) {
  FootForces forces;
  forces.start = window.time(static_cast<double>(rows.first));
  forces.step = window.step;
  forces.x = filtered.col(0);
  forces.y = filtered.col(1);
  forces.z = filtered.col(2);
  forces.raw_x = window.wrench.col(0).segment(rows.first, rows.count);
  forces.raw_z = window.wrench.col(2).segment(rows.first, rows.count);
  forces.contact_z = std::move(contact_z);
  forces.noise = window.noise;
  forces.centre = window.frame.centre.head<2>();
  const auto cop = plate::centre_of_pressure(filtered, window.frame, settings.least_turning_force);
  forces.cop_x = cop.col(0);
  forces.cop_y = cop.col(1);
  forces.free_moment = plate::free_moment(filtered, window.frame, cop);
  return forces;
}

// By the slowest plate: what it did not sample no low-pass can keep.
double least_rate(const PlateWindow& window) {
  return 1.0 / std::max(window.step, window.slowest_step);
}

Result<std::vector<signal::Biquad>> design(double common, const PlateWindow& window) {
  const auto by_slowest =
      signal::low_pass(2, signal::design_cutoff(common, 2, 2), least_rate(window));
  if (!by_slowest) return by_slowest;
  return signal::low_pass(2, signal::design_cutoff(common, 2, 2), 1.0 / window.step);
}

}  // namespace

Result<FilteredFoot> filter_forces(const PlateWindow& window, RowRange rows,
                                   const definitions::Settings& settings) {
  const auto smooth = design(settings.low_pass, window);
  if (!smooth) return tl::make_unexpected(smooth.error());
  // A slow plate has nothing above a fifth of its rate that a contact could need.
  const double rate = least_rate(window);
  const auto light =
      design(std::max(settings.low_pass, std::min(settings.contact_low_pass, rate / 5.0)), window);
  if (!light) return tl::make_unexpected(light.error());

  const auto wrench = window.wrench.middleRows(rows.first, rows.count);
  const plate::WrenchSeries once = signal::zero_phase_columns(*smooth, wrench);
  const plate::WrenchSeries twice = signal::zero_phase_columns(*smooth, once);
  const Eigen::ArrayXd light_once = signal::zero_phase(*light, wrench.col(2));
  const Eigen::ArrayXd light_twice = signal::zero_phase(*light, light_once);
  return FilteredFoot{forces_of(window, rows, once, light_once, settings),
                      forces_of(window, rows, twice, light_twice, settings)};
}

Result<PlateShare> filter_share(const PlateWindow& window, RowRange rows,
                                const definitions::Settings& settings) {
  const auto smooth = design(settings.low_pass, window);
  if (!smooth) return tl::make_unexpected(smooth.error());
  const plate::WrenchSeries filtered =
      signal::zero_phase_columns(*smooth, window.wrench.middleRows(rows.first, rows.count));
  const auto cop = plate::centre_of_pressure(filtered, window.frame, settings.least_turning_force);
  return PlateShare{window.time(static_cast<double>(rows.first)),
                    filtered.col(0),
                    filtered.col(1),
                    filtered.col(2),
                    cop.col(0),
                    cop.col(1)};
}

Result<FootForces> filter_vertical(const PlateWindow& window,
                                   const definitions::Settings& settings) {
  const auto smooth = design(settings.low_pass, window);
  if (!smooth) return tl::make_unexpected(smooth.error());
  FootForces forces;
  forces.start = window.start;
  forces.step = window.step;
  forces.z = signal::zero_phase(*smooth, window.wrench.col(2));
  return forces;
}

}  // namespace moundwork::foot
