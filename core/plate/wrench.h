// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>

#include "core/base/result.h"
#include "core/plate/geometry.h"

namespace moundwork::plate {

/// Ground reaction of one plate over time (samples x 6, lab axes): columns Fx Fy Fz in N, then the
/// moment about the surface centre Mx My Mz in N m.
using WrenchSeries = Eigen::Array<double, Eigen::Dynamic, 6>;

/// Affine road from a plate's channels to its wrench, built once from the description.
class WrenchMap {
 public:
  [[nodiscard]] static Result<WrenchMap> make(const PlateDescription& plate);

  /// Lab wrench from scaled channels (samples x channels, column order of the description).
  [[nodiscard]] WrenchSeries operator()(const Eigen::Ref<const Eigen::MatrixXd>& channels) const;

  /// Lab force rows as a linear function of the scaled channels (3 x channels), for every type.
  [[nodiscard]] const Eigen::MatrixXd& force_matrix() const { return force_; }
  [[nodiscard]] const PlateFrame& frame() const { return frame_; }
  [[nodiscard]] Eigen::Index channel_count() const { return sensitivity_.cols(); }

 private:
  PlateType type_ = PlateType::six_component;
  PlateFrame frame_;
  Eigen::MatrixXd sensitivity_;                         // components x channels
  Eigen::MatrixXd force_;                               // 3 x channels, lab reaction
  Eigen::Matrix<double, 6, Eigen::Dynamic> to_centre_;  // components -> plate-axes F and M_S
  double sign_ = -1.0;
};

/// Point of the plate's surface where the wrench has no moment but a free one about the normal
/// (lab, m; samples x 3). NaN where the force along the normal is below `least_normal_force` (N).
/// Formula: p = n x M / (n . F) about the surface centre, from M = p x F + n T with n . p = 0.
[[nodiscard]] Eigen::Array<double, Eigen::Dynamic, 3> centre_of_pressure(const WrenchSeries& wrench,
                                                                         const PlateFrame& frame,
                                                                         double least_normal_force);

/// Free moment about the plate's normal (N m, positive anticlockwise seen from above; samples).
/// Zero where the centre of pressure is NaN.
[[nodiscard]] Eigen::ArrayXd free_moment(const WrenchSeries& wrench, const PlateFrame& frame,
                                         const Eigen::Array<double, Eigen::Dynamic, 3>& cop);

}  // namespace moundwork::plate
