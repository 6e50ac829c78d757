// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/plate/wrench.h"

#include <fmt/format.h>

#include <Eigen/Geometry>
#include <cmath>
#include <limits>

namespace moundwork::plate {
namespace {

// M_S = M - o x F: moments at the electrical origin brought to the surface centre (type 2 and 4).
Eigen::Matrix<double, 6, Eigen::Dynamic> six_component_to_centre(const Eigen::Vector3d& o) {
  Eigen::Matrix<double, 6, Eigen::Dynamic> map(6, 6);
  map.setIdentity();
  map.block<3, 3>(3, 0) << 0.0, o.z(), -o.y(), -o.z(), 0.0, o.x(), o.y(), -o.x(), 0.0;
  return map;
}

// Type 3 (C3D user guide): a, b are half the sensor spacings, not an offset, so only az0 moves the
// moments from the sensors' plane to the surface.
Eigen::Matrix<double, 6, Eigen::Dynamic> eight_component_to_centre(const Eigen::Vector3d& abz) {
  const double a = abz.x();
  const double b = abz.y();
  Eigen::Matrix<double, 6, Eigen::Dynamic> at_sensors(6, 8);
  at_sensors << 1, 1, 0, 0, 0, 0, 0, 0,  //
      0, 0, 1, 1, 0, 0, 0, 0,            //
      0, 0, 0, 0, 1, 1, 1, 1,            //
      0, 0, 0, 0, b, b, -b, -b,          //
      0, 0, 0, 0, -a, a, a, -a,          //
      -b, b, a, -a, 0, 0, 0, 0;
  return six_component_to_centre({0.0, 0.0, abz.z()}) * at_sensors;
}

}  // namespace

Result<WrenchMap> WrenchMap::make(const PlateDescription& plate) {
  const int components = component_count(plate.type);
  if (plate.sensitivity.rows() != components || plate.sensitivity.cols() < 1)
    return fail("plate sensitivity",
                fmt::format("has {} rows where a type {} plate needs {}", plate.sensitivity.rows(),
                            static_cast<int>(plate.type), components));
  if (!plate.sensitivity.allFinite() || !plate.origin.allFinite())
    return fail("plate sensitivity", "a coefficient or the origin is not a finite number");
  const auto frame = plate_frame(plate);
  if (!frame) return tl::make_unexpected(frame.error());

  WrenchMap map;
  map.type_ = plate.type;
  map.frame_ = *frame;
  map.sensitivity_ = plate.sensitivity;
  map.sign_ = plate.reaction_sign;
  switch (plate.type) {
    case PlateType::centre_of_pressure:
      map.to_centre_ = six_component_to_centre(Eigen::Vector3d::Zero());
      break;
    case PlateType::eight_component:
      map.to_centre_ = eight_component_to_centre(plate.origin);
      break;
    case PlateType::six_component:
    case PlateType::six_component_matrix:
      map.to_centre_ = six_component_to_centre(plate.origin);
      break;
  }
  map.force_ = map.sign_ * frame->rotation * (map.to_centre_ * map.sensitivity_).topRows<3>();
  return map;
}

WrenchSeries WrenchMap::operator()(const Eigen::Ref<const Eigen::MatrixXd>& channels) const {
  Eigen::MatrixXd at_centre = channels * (to_centre_ * sensitivity_).transpose();
  if (type_ == PlateType::centre_of_pressure) {
    // The channels hold the point itself; its moment is M_S = (Py Fz, -Px Fz, Px Fy - Py Fx + Tz).
    const Eigen::ArrayXd px = at_centre.col(3).array();
    const Eigen::ArrayXd py = at_centre.col(4).array();
    const Eigen::ArrayXd fz = at_centre.col(2).array();
    at_centre.col(5).array() += px * at_centre.col(1).array() - py * at_centre.col(0).array();
    at_centre.col(3) = py * fz;
    at_centre.col(4) = -px * fz;
  }
  WrenchSeries lab(channels.rows(), 6);
  const Eigen::Matrix3d to_lab = sign_ * frame_.rotation.transpose();
  lab.leftCols<3>().matrix().noalias() = at_centre.leftCols<3>() * to_lab;
  lab.rightCols<3>().matrix().noalias() = at_centre.rightCols<3>() * to_lab;
  return lab;
}

Eigen::Array<double, Eigen::Dynamic, 3> centre_of_pressure(const WrenchSeries& wrench,
                                                           const PlateFrame& frame,
                                                           double least_normal_force) {
  const Eigen::Vector3d& n = frame.up;
  Eigen::Array<double, Eigen::Dynamic, 3> cop(wrench.rows(), 3);
  for (Eigen::Index i = 0; i < wrench.rows(); ++i) {
    const Eigen::Vector3d force = wrench.row(i).head<3>().transpose();
    const Eigen::Vector3d moment = wrench.row(i).tail<3>().transpose();
    const double normal_force = n.dot(force);
    if (normal_force >= least_normal_force)
      cop.row(i) = (frame.centre + n.cross(moment) / normal_force).transpose().array();
    else
      cop.row(i).setConstant(std::numeric_limits<double>::quiet_NaN());
  }
  return cop;
}

Eigen::ArrayXd free_moment(const WrenchSeries& wrench, const PlateFrame& frame,
                           const Eigen::Array<double, Eigen::Dynamic, 3>& cop) {
  Eigen::ArrayXd moment(wrench.rows());
  for (Eigen::Index i = 0; i < wrench.rows(); ++i) {
    if (!std::isfinite(cop(i, 0))) {
      moment(i) = 0.0;
      continue;
    }
    const Eigen::Vector3d force = wrench.row(i).head<3>().transpose();
    const Eigen::Vector3d about_centre = wrench.row(i).tail<3>().transpose();
    const Eigen::Vector3d arm = cop.row(i).transpose().matrix() - frame.centre;
    moment(i) = frame.up.dot(about_centre - arm.cross(force));
  }
  return moment;
}

}  // namespace moundwork::plate
