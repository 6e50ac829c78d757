// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "core/base/random.h"
#include "core/model/contact.h"
#include "core/model/station.h"
#include "core/session/session.h"

namespace moundwork::model {

/// Athlete's action on the plate at its electrical origin's surface centre, plate axes: N, N m.
using PlateLoad = Eigen::Matrix<double, 6, 1>;

/// Sum of the feet's loads on one plate as moments about its surface centre, turned into the
/// plate's own axes and into the action of the athlete.
[[nodiscard]] PlateLoad plate_load(const plate::PlateFrame& frame,
                                   const std::vector<FootLoad>& feet);

/// One plate with its errors: from the true load to the raw counts of its channels.
class PlateInstrument {
 public:
  /// Promises: `plate` and `device` come from draw_station.
  PlateInstrument(const session::Plate& plate, const session::Device& device,
                  const PlateErrors& errors, std::uint64_t seed);

  /// Raw counts at session time t (s); `left_behind` is the force zero that a load leaves (N).
  void sample(double t, const PlateLoad& load, const Eigen::Vector3d& left_behind,
              std::int32_t* counts);

  [[nodiscard]] const plate::PlateFrame& frame() const { return frame_; }

 private:
  PlateErrors errors_;
  plate::PlateFrame frame_;
  Eigen::MatrixXd to_channels_;  // channels x 6, from the load about the surface centre
  std::vector<session::Channel> channels_;
  Random noise_;
};

}  // namespace moundwork::model
