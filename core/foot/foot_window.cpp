// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/foot/foot_window.h"

#include <Eigen/Geometry>
#include <algorithm>
#include <boost/math/interpolators/cardinal_cubic_b_spline.hpp>
#include <cmath>
#include <utility>

#include "core/signal/series.h"

namespace moundwork::foot {
namespace {

// The samples that a foot's plates share.
struct Samples {
  double start = 0.0, step = 0.0;
  Eigen::Index count = 0;
};

Samples shared_samples(const std::vector<PlateWindow>& plates) {
  const PlateWindow& fastest = *std::min_element(
      plates.begin(), plates.end(), [](const auto& a, const auto& b) { return a.step < b.step; });
  double begin = fastest.start, end = fastest.end();
  for (const PlateWindow& plate : plates) {
    begin = std::max(begin, plate.start);
    end = std::min(end, plate.end());
  }
  constexpr double rounding = 1e-6;  // of a sample
  const double first = std::ceil(fastest.index(begin) - rounding);
  const double last = std::floor(fastest.index(end) + rounding);
  return {fastest.time(first), fastest.step, static_cast<Eigen::Index>(last - first) + 1};
}

plate::WrenchSeries wrench_at(const PlateWindow& plate, const Samples& samples) {
  constexpr double rounding = 1e-6;  // of a sample
  const double first = plate.index(samples.start);
  const double stretched =
      std::abs(plate.step / samples.step - 1.0) * static_cast<double>(samples.count);
  if (std::abs(first - std::round(first)) < rounding && stretched < rounding)
    return plate.wrench.middleRows(static_cast<Eigen::Index>(std::lround(first)), samples.count);
  plate::WrenchSeries wrench(samples.count, 6);
  for (Eigen::Index c = 0; c < 6; ++c) {
    const Eigen::ArrayXd values = plate.wrench.col(c);
    // A spline would carry a sample that is no number to all others.
    if (!values.isFinite().all()) {
      for (Eigen::Index i = 0; i < samples.count; ++i)
        wrench(i, c) = signal::value_at(
            values, plate.index(samples.start + static_cast<double>(i) * samples.step));
      continue;
    }
    const boost::math::interpolators::cardinal_cubic_b_spline<double> curve(
        values.data(), static_cast<std::size_t>(values.size()), plate.start, plate.step);
    for (Eigen::Index i = 0; i < samples.count; ++i)
      wrench(i, c) = curve(std::clamp(samples.start + static_cast<double>(i) * samples.step,
                                      plate.start, plate.end()));
  }
  return wrench;
}

Eigen::Vector3d common_centre(const std::vector<PlateWindow>& plates) {
  Eigen::Vector3d sum = Eigen::Vector3d::Zero(), plain = Eigen::Vector3d::Zero();
  double all = 0.0;
  for (const PlateWindow& plate : plates) {
    const double weight = plate.noise(2) * plate.noise(2);
    sum += weight * plate.frame.centre;
    plain += plate.frame.centre / static_cast<double>(plates.size());
    all += weight;
  }
  return all > 0.0 ? Eigen::Vector3d(sum / all) : plain;
}

plate::PlateFrame common_frame(const std::vector<PlateWindow>& plates) {
  plate::PlateFrame frame = plates.front().frame;
  frame.centre = common_centre(plates);
  frame.up.setZero();
  for (const PlateWindow& plate : plates) frame.up += plate.frame.up;
  frame.up.normalize();
  return frame;
}

void add_plate(const PlateWindow& plate, PlateWindow& sum) {
  // As if its surface lay in the common plane, straight above or below where it is.
  Eigen::Vector3d arm = plate.frame.centre - sum.frame.centre;
  arm.z() = -(sum.frame.up.x() * arm.x() + sum.frame.up.y() * arm.y()) / sum.frame.up.z();
  const auto force = plate.wrench.leftCols<3>();
  sum.wrench.leftCols<3>() += force;
  sum.wrench.col(3) += plate.wrench.col(3) + arm.y() * force.col(2) - arm.z() * force.col(1);
  sum.wrench.col(4) += plate.wrench.col(4) + arm.z() * force.col(0) - arm.x() * force.col(2);
  sum.wrench.col(5) += plate.wrench.col(5) + arm.x() * force.col(1) - arm.y() * force.col(0);
  // Variances for now.
  const Eigen::Array<double, 1, 6> own = plate.noise.square();
  sum.noise += own;
  sum.noise(3) += arm.y() * arm.y() * own(2) + arm.z() * arm.z() * own(1);
  sum.noise(4) += arm.z() * arm.z() * own(0) + arm.x() * arm.x() * own(2);
  sum.noise(5) += arm.x() * arm.x() * own(1) + arm.y() * arm.y() * own(0);
  sum.zero_u += plate.zero_u * plate.zero_u;
  sum.zero_seen = sum.zero_seen && plate.zero_seen;
  sum.gaps.insert(sum.gaps.end(), plate.gaps.begin(), plate.gaps.end());
  sum.clipped.insert(sum.clipped.end(), plate.clipped.begin(), plate.clipped.end());
}

void put_on(const Samples& samples, PlateWindow& plate) {
  plate.wrench = wrench_at(plate, samples);
  // The noise of a slower plate lies in fewer hertz: below every low-pass there is as much of it
  // as of so much more white noise at the common rate.
  constexpr double same_rate = 1.01;
  if (const double slower = plate.step / samples.step; slower > same_rate)
    plate.noise *= std::sqrt(slower);
  plate.start = samples.start;
  plate.step = samples.step;
}

// A plate that was never seen empty is as noisy as the noisiest of the others.
void share_unseen_noise(std::vector<PlateWindow>& plates) {
  Eigen::Array<double, 1, 6> most = Eigen::Array<double, 1, 6>::Zero();
  for (const PlateWindow& plate : plates) most = most.max(plate.noise);
  for (PlateWindow& plate : plates)
    if (!plate.zero_seen) plate.noise = most;
}

}  // namespace

Result<FootWindow> FootWindow::make(std::vector<PlateWindow> plates) {
  FootWindow foot;
  foot.plates_ = std::move(plates);
  if (foot.plates_.size() == 1) return foot;
  const Samples samples = shared_samples(foot.plates_);
  // A spline needs five samples, and nothing is measured from so few.
  constexpr Eigen::Index least_samples = 5;
  if (samples.count < least_samples ||
      std::any_of(foot.plates_.begin(), foot.plates_.end(),
                  [](const PlateWindow& plate) { return plate.size() < least_samples; }))
    return fail("the plates under one foot", "did not record at the same time",
                "the throw there cannot be measured");
  PlateWindow sum;
  sum.start = samples.start;
  sum.step = samples.step;
  sum.slowest_step = samples.step;
  for (PlateWindow& plate : foot.plates_) {
    sum.slowest_step = std::max(sum.slowest_step, plate.step);
    put_on(samples, plate);
  }
  share_unseen_noise(foot.plates_);
  sum.frame = common_frame(foot.plates_);
  sum.clock_u = foot.plates_.front().clock_u;
  sum.zero_seen = true;
  sum.wrench = plate::WrenchSeries::Zero(samples.count, 6);
  for (const PlateWindow& plate : foot.plates_) add_plate(plate, sum);
  sum.noise = sum.noise.sqrt();
  sum.zero_u = std::sqrt(sum.zero_u);
  foot.sum_ = std::move(sum);
  return foot;
}

}  // namespace moundwork::foot
