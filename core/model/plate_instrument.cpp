// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/plate_instrument.h"

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <numbers>

namespace moundwork::model {
namespace {

// From force and moments about the surface centre to those about the electrical origin, which lies
// by -o away: M_O = M_S + o x F.
Eigen::Matrix<double, 6, 6> to_origin(const Eigen::Vector3d& o) {
  Eigen::Matrix<double, 6, 6> map = Eigen::Matrix<double, 6, 6>::Identity();
  map.block<3, 3>(3, 0) << 0.0, -o.z(), o.y(), o.z(), 0.0, -o.x(), -o.y(), o.x(), 0.0;
  return map;
}

// Channels whose C3D formulas give the load. An eight-channel plate has more channels than
// components: the least of all that fit, as four equal sensors share a load.
Eigen::MatrixXd channels_of_load(const plate::PlateDescription& plate) {
  switch (plate.type) {
    case plate::PlateType::eight_component: {
      const double a = plate.origin.x();
      const double b = plate.origin.y();
      Eigen::MatrixXd formulas(6, 8);
      formulas << 1, 1, 0, 0, 0, 0, 0, 0,  //
          0, 0, 1, 1, 0, 0, 0, 0,          //
          0, 0, 0, 0, 1, 1, 1, 1,          //
          0, 0, 0, 0, b, b, -b, -b,        //
          0, 0, 0, 0, -a, a, a, -a,        //
          -b, b, a, -a, 0, 0, 0, 0;
      const Eigen::MatrixXd least =
          formulas.transpose() * (formulas * formulas.transpose()).inverse();
      return least * to_origin({0.0, 0.0, plate.origin.z()});
    }
    case plate::PlateType::six_component_matrix:
      return plate.sensitivity.inverse() * to_origin(plate.origin);
    case plate::PlateType::six_component:
    case plate::PlateType::centre_of_pressure:
      break;
  }
  return to_origin(plate.origin);
}

}  // namespace

PlateLoad plate_load(const plate::PlateFrame& frame, const std::vector<FootLoad>& feet) {
  Eigen::Vector3d force = Eigen::Vector3d::Zero();
  Eigen::Vector3d moment = Eigen::Vector3d::Zero();
  for (const FootLoad& foot : feet) {
    const Eigen::Vector3d point(foot.point.x(), foot.point.y(), surface_height(frame, foot.point));
    force += foot.force;
    moment += (point - frame.centre).cross(foot.force) + foot.free_moment * frame.up;
  }
  PlateLoad load;
  load << -(frame.rotation.transpose() * force), -(frame.rotation.transpose() * moment);
  return load;
}

PlateInstrument::PlateInstrument(const session::Plate& plate, const session::Device& device,
                                 const PlateErrors& errors, std::uint64_t seed)
    : errors_(errors),
      frame_(plate::plate_frame(plate.description).value()),
      to_channels_(channels_of_load(plate.description)),
      noise_(seed, 0) {
  for (const int channel : plate.channels)
    channels_.push_back(device.channels[static_cast<std::size_t>(channel)]);
}

void PlateInstrument::sample(double t, const PlateLoad& load, const Eigen::Vector3d& left_behind,
                             std::int32_t* counts) {
  const double fz = load[2];
  const double vertical = 1.0 + errors_.gain.z();
  PlateLoad seen;
  seen[0] = (1.0 + errors_.gain.x()) * load[0] + errors_.crosstalk.x() * fz;
  seen[1] = (1.0 + errors_.gain.y()) * load[1] + errors_.crosstalk.y() * fz;
  seen[2] = vertical * fz;
  // The centre of pressure about the surface centre is (-My, Mx) / Fz. Sharing Fz's gain, these
  // moments move it by exactly the stated error and nothing else.
  seen[3] = vertical * (load[3] + errors_.pressure_point.y() * fz);
  seen[4] = vertical * (load[4] - errors_.pressure_point.x() * fz);
  seen[5] = (1.0 + errors_.twist_gain) * load[5];
  seen.head<3>() += left_behind;

  const double cycle = std::sin(2.0 * std::numbers::pi * t / errors_.swing_period);
  seen += errors_.offset + t * errors_.drift + cycle * errors_.swing;
  if (errors_.force_noise > 0.0)
    for (Eigen::Index i = 0; i < 6; ++i)
      seen[i] += noise_.normal(0.0, i < 3 ? errors_.force_noise : errors_.moment_noise);

  const Eigen::VectorXd scaled = to_channels_ * seen;
  for (std::size_t i = 0; i < channels_.size(); ++i) {
    const session::Channel& channel = channels_[i];
    const double raw =
        std::round(scaled[static_cast<Eigen::Index>(i)] / channel.scale) + channel.offset;
    counts[i] = static_cast<std::int32_t>(std::clamp(raw, channel.lowest, channel.highest));
  }
}

}  // namespace moundwork::model
