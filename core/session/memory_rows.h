// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <string>
#include <utility>
#include <vector>

#include "core/session/row_source.h"

namespace moundwork::session {

/// A session whose rows are in memory, as while it is being recorded. Nobody has edited it.
class MemoryRows final : public RowSource {
 public:
  /// `name` is for messages.
  MemoryRows(Session session, std::string name)
      : session_(std::move(session)), name_(std::move(name)), tables_(session_.devices.size()) {}

  /// `values` are whole rows, raw units, row after row. The block's first_sample is set to where
  /// they come to lie.
  void append(int device, Block block, std::span<const double> values);
  void append(const RadarReading& reading) { readings_.push_back(reading); }

  [[nodiscard]] const Session& session() const override { return session_; }
  [[nodiscard]] std::string name() const override { return name_; }
  [[nodiscard]] Eigen::Index sample_count(int device) const override;
  [[nodiscard]] Result<std::vector<Block>> blocks(int device) const override;
  [[nodiscard]] Result<std::vector<RadarReading>> radar_readings() const override {
    return readings_;
  }
  [[nodiscard]] Result<std::vector<Edit>> edits() const override { return std::vector<Edit>{}; }

  [[nodiscard]] Result<void> read(int device, Eigen::Index first, Eigen::Index count,
                                  RawTable<std::int16_t>& raw) const override;
  [[nodiscard]] Result<void> read(int device, Eigen::Index first, Eigen::Index count,
                                  RawTable<std::int32_t>& raw) const override;
  [[nodiscard]] Result<void> read(int device, Eigen::Index first, Eigen::Index count,
                                  RawTable<float>& raw) const override;
  [[nodiscard]] Result<void> read(int device, Eigen::Index first, Eigen::Index count,
                                  RawTable<double>& raw) const override;

 private:
  struct Table {
    std::vector<Block> blocks;
    std::vector<double> values;  // row after row
  };
  [[nodiscard]] const Table& table(int device) const {
    return tables_.at(static_cast<std::size_t>(device));
  }
  [[nodiscard]] Eigen::Index width(int device) const;
  /// Some rows of a table; throws std::out_of_range beyond it.
  [[nodiscard]] Eigen::Map<const RawTable<double>> rows(int device, Eigen::Index first,
                                                        Eigen::Index count) const;

  Session session_;
  std::string name_;
  std::vector<Table> tables_;  // by device
  std::vector<RadarReading> readings_;
};

}  // namespace moundwork::session
