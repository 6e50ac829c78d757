// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/session/edit.h"
#include "core/session/session.h"

namespace moundwork::session {

struct Kind;

/// Raw samples as stored: row-major (samples x channels).
template <class Scalar>
using RawTable = Eigen::Matrix<Scalar, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

/// Where a session's rows come from, be it a file (reader.h) or memory (memory_rows.h): all that
/// measuring needs. Several threads may read at once.
class RowSource {
 public:
  virtual ~RowSource() = default;

  [[nodiscard]] virtual const Session& session() const = 0;
  /// For messages: the file's path, or what else it is.
  [[nodiscard]] virtual std::string name() const = 0;
  [[nodiscard]] virtual Eigen::Index sample_count(int device) const = 0;
  [[nodiscard]] virtual Result<std::vector<Block>> blocks(int device) const = 0;
  /// What an instrument of a kind with events sent, by arrival. Fails for one that the session does
  /// not have.
  [[nodiscard]] virtual Result<std::vector<InstrumentEvent>> events(
      const Kind& kind, const std::string& name) const = 0;
  /// What people changed about the session, in order.
  [[nodiscard]] virtual Result<std::vector<Edit>> edits() const = 0;

  /// Rows [first, first + count) of a device in its stored type, which must be the table's, as
  /// Device::sample_type says.
  [[nodiscard]] virtual Result<void> read(int device, Eigen::Index first, Eigen::Index count,
                                          RawTable<std::int16_t>& raw) const = 0;
  [[nodiscard]] virtual Result<void> read(int device, Eigen::Index first, Eigen::Index count,
                                          RawTable<std::int32_t>& raw) const = 0;
  [[nodiscard]] virtual Result<void> read(int device, Eigen::Index first, Eigen::Index count,
                                          RawTable<float>& raw) const = 0;
  [[nodiscard]] virtual Result<void> read(int device, Eigen::Index first, Eigen::Index count,
                                          RawTable<double>& raw) const = 0;

  /// The same rows as double, raw units.
  [[nodiscard]] Result<RawTable<double>> read_raw(int device, Eigen::Index first,
                                                  Eigen::Index count) const;
  /// The radar's events; none without a radar.
  [[nodiscard]] Result<std::vector<RadarReading>> radar_readings() const;

 protected:
  RowSource() = default;
  RowSource(const RowSource&) = default;
  RowSource(RowSource&&) = default;
  RowSource& operator=(const RowSource&) = default;
  RowSource& operator=(RowSource&&) = default;
};

}  // namespace moundwork::session
