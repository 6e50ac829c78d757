// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <utility>
#include <vector>

#include "core/base/result.h"
#include "core/plate/wrench.h"
#include "core/session/row_source.h"
#include "core/session/sample_clock.h"
#include "core/session/session.h"

/// The one road from a device's raw rows to what a plate carried.
namespace moundwork::session {

/// A lab force as an affine map of a device's raw row: weights (3 x device channels) * row +
/// constant, N; x, y, z.
struct RawForce {
  Eigen::Matrix3Xd weights;
  Eigen::Vector3d constant = Eigen::Vector3d::Zero();
};

/// One plate's channels among those of its device: (raw - offset) * scale, then the wrench map.
class PlateSignal {
 public:
  /// Fails on a plate's description that no wrench follows from.
  [[nodiscard]] static Result<PlateSignal> make(const Session& session, const Plate& plate);

  /// Scaled channels in the order of the plate's description from raw rows (samples x device
  /// channels).
  [[nodiscard]] Eigen::MatrixXd scaled(const Eigen::Ref<const RawTable<double>>& raw) const;
  /// Lab wrench, not tared, of raw rows.
  [[nodiscard]] plate::WrenchSeries wrench(const Eigen::Ref<const RawTable<double>>& raw) const {
    return map_(scaled(raw));
  }
  [[nodiscard]] RawForce raw_force() const;
  [[nodiscard]] const plate::PlateFrame& frame() const { return map_.frame(); }

 private:
  struct Column {
    Eigen::Index device_channel = 0;
    double offset = 0.0, scale = 1.0;
  };
  explicit PlateSignal(plate::WrenchMap map) : map_(std::move(map)) {}

  plate::WrenchMap map_;
  std::vector<Column> columns_;  // in the order of the description
  Eigen::Index device_channels_ = 0;
};

/// The clock of one of a session's devices. Fails where it delivered no sample.
[[nodiscard]] Result<SampleClock> clock_of(const RowSource& reader, int device);

}  // namespace moundwork::session
