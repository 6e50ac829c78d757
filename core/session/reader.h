// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/session/row_source.h"
#include "core/session/session.h"

namespace moundwork::session {

/// Opens a session file for reading; also one that a recording is still writing or that a kill left
/// open. A file that says no time zone takes that of the lab it lies in, else this computer's, and
/// SessionZone::assumed. Several threads may read at once; they wait for each other inside HDF5.
class Reader final : public RowSource {
 public:
  [[nodiscard]] static Result<Reader> open(const std::filesystem::path& path);
  Reader(Reader&&) noexcept;
  Reader& operator=(Reader&&) noexcept;
  ~Reader() override;

  [[nodiscard]] const std::filesystem::path& path() const;
  [[nodiscard]] std::string name() const override { return path().string(); }
  /// With its facts as the edits beside it have them (core/session/fact.h), and as recorded.
  [[nodiscard]] const Session& session() const override;
  [[nodiscard]] const Session& as_recorded() const;
  [[nodiscard]] Eigen::Index sample_count(int device) const override;
  /// Of a recording: whether each block and event still has the check sum that it was written with.
  /// Reads the whole file.
  [[nodiscard]] Result<bool> is_as_recorded() const;
  [[nodiscard]] Result<std::vector<Block>> blocks(int device) const override;
  [[nodiscard]] Result<std::vector<InstrumentEvent>> events(const Kind& kind,
                                                            const std::string& name) const override;
  /// Those of the companion file: none where it does not say that it is this session's. Fails where
  /// it is another's.
  [[nodiscard]] Result<std::vector<Edit>> edits() const override;

  [[nodiscard]] Result<void> read(int device, Eigen::Index first, Eigen::Index count,
                                  RawTable<std::int16_t>& raw) const override;
  [[nodiscard]] Result<void> read(int device, Eigen::Index first, Eigen::Index count,
                                  RawTable<std::int32_t>& raw) const override;
  [[nodiscard]] Result<void> read(int device, Eigen::Index first, Eigen::Index count,
                                  RawTable<float>& raw) const override;
  [[nodiscard]] Result<void> read(int device, Eigen::Index first, Eigen::Index count,
                                  RawTable<double>& raw) const override;

 private:
  struct Impl;
  explicit Reader(std::unique_ptr<Impl> impl);
  template <class Scalar>
  [[nodiscard]] Result<void> read_stored(int device, Eigen::Index first, Eigen::Index count,
                                         RawTable<Scalar>& raw) const;
  std::unique_ptr<Impl> impl_;
};

}  // namespace moundwork::session
