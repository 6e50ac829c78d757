// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/session/session.h"

namespace moundwork::session {

struct Kind;

/// Raw samples as stored: row-major (samples x channels).
template <class Scalar>
using RawTable = Eigen::Matrix<Scalar, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

/// Opens a session file for reading; also one that a recording is still writing or that a kill left
/// open. Several threads may read at once; they wait for each other inside HDF5.
class Reader {
 public:
  [[nodiscard]] static Result<Reader> open(const std::filesystem::path& path);
  Reader(Reader&&) noexcept;
  Reader& operator=(Reader&&) noexcept;
  ~Reader();

  [[nodiscard]] const Session& session() const;
  [[nodiscard]] const std::filesystem::path& path() const;
  [[nodiscard]] Eigen::Index sample_count(int device) const;
  [[nodiscard]] Result<std::vector<Block>> blocks(int device) const;
  /// What an instrument of a kind with events sent, by arrival.
  [[nodiscard]] Result<std::vector<InstrumentEvent>> events(const Kind& kind,
                                                            const std::string& name) const;
  /// The same of the radar; none where there was no radar.
  [[nodiscard]] Result<std::vector<RadarReading>> radar_readings() const;

  /// Rows [first, first + count) of a device in its stored type, which must be Scalar
  /// (std::int16_t, std::int32_t, float or double, as Device::sample_type says).
  template <class Scalar>
  [[nodiscard]] Result<void> read(int device, Eigen::Index first, Eigen::Index count,
                                  RawTable<Scalar>& raw) const;

  /// The same rows as double, raw units.
  [[nodiscard]] Result<RawTable<double>> read_raw(int device, Eigen::Index first,
                                                  Eigen::Index count) const;

 private:
  struct Impl;
  explicit Reader(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace moundwork::session
