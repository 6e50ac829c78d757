// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/plate_signal.h"

namespace moundwork::session {

Result<PlateSignal> PlateSignal::make(const Session& session, const Plate& plate) {
  auto map = plate::WrenchMap::make(plate.description);
  if (!map) return tl::make_unexpected(map.error());
  PlateSignal signal(std::move(*map));
  const Device& device = session.devices[static_cast<std::size_t>(plate.device)];
  signal.device_channels_ = static_cast<Eigen::Index>(device.channels.size());
  for (const int column : plate.channels) {
    const Channel& channel = device.channels[static_cast<std::size_t>(column)];
    signal.columns_.push_back({column, channel.offset, channel.scale});
  }
  return signal;
}

Eigen::MatrixXd PlateSignal::scaled(const Eigen::Ref<const RawTable<double>>& raw) const {
  Eigen::MatrixXd scaled(raw.rows(), static_cast<Eigen::Index>(columns_.size()));
  for (Eigen::Index c = 0; c < scaled.cols(); ++c) {
    const Column& column = columns_[static_cast<std::size_t>(c)];
    scaled.col(c) = (raw.col(column.device_channel).array() - column.offset) * column.scale;
  }
  return scaled;
}

RawForce PlateSignal::raw_force() const {
  RawForce raw;
  raw.weights.setZero(3, device_channels_);
  for (std::size_t c = 0; c < columns_.size(); ++c) {
    const Column& column = columns_[c];
    const Eigen::Vector3d per_unit = map_.force_matrix().col(static_cast<Eigen::Index>(c));
    raw.weights.col(column.device_channel) += per_unit * column.scale;
    raw.constant -= per_unit * column.scale * column.offset;
  }
  return raw;
}

Result<SampleClock> clock_of(const RowSource& reader, int device) {
  const auto blocks = reader.blocks(device);
  if (!blocks) return tl::make_unexpected(blocks.error());
  return SampleClock::make(reader.session().devices[static_cast<std::size_t>(device)], *blocks,
                           reader.sample_count(device));
}

}  // namespace moundwork::session
