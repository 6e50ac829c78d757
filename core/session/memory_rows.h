// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "core/session/kinds/list.h"
#include "core/session/row_source.h"

namespace moundwork::session {

/// A session whose rows are in memory, as while it is being recorded. Nobody has edited it.
class MemoryRows final : public RowSource {
 public:
  /// `name` is for messages.
  MemoryRows(Session session, std::string name)
      : session_(std::move(session)),
        name_(std::move(name)),
        tables_(session_.devices.size()),
        sources_(event_sources(session_)),
        events_(sources_.size()) {}

  /// `values` are whole rows, raw units, row after row. The block's first_sample is set to where
  /// they come to lie.
  void append(int device, Block block, std::span<const double> values);
  /// Of the instrument at this place among event_sources() of the session.
  void append_event(std::size_t source, InstrumentEvent event) {
    events_.at(source).push_back(std::move(event));
  }

  [[nodiscard]] const Session& session() const override { return session_; }
  [[nodiscard]] std::string name() const override { return name_; }
  [[nodiscard]] Eigen::Index sample_count(int device) const override;
  [[nodiscard]] Result<std::vector<Block>> blocks(int device) const override;
  [[nodiscard]] Result<std::vector<InstrumentEvent>> events(const Kind& kind,
                                                            const std::string& name) const override;
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
  std::vector<EventSource> sources_;
  std::vector<std::vector<InstrumentEvent>> events_;  // by source
};

}  // namespace moundwork::session
