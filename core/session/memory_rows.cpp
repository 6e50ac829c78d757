// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/memory_rows.h"

#include <fmt/format.h>

#include <stdexcept>

namespace moundwork::session {

Eigen::Index MemoryRows::width(int device) const {
  return static_cast<Eigen::Index>(
      session_.devices.at(static_cast<std::size_t>(device)).channels.size());
}

void MemoryRows::append(int device, Block block, std::span<const double> values) {
  block.first_sample = sample_count(device);
  Table& table = tables_.at(static_cast<std::size_t>(device));
  table.blocks.push_back(block);
  table.values.insert(table.values.end(), values.begin(), values.end());
}

Eigen::Index MemoryRows::sample_count(int device) const {
  return static_cast<Eigen::Index>(table(device).values.size()) / width(device);
}

Result<std::vector<Block>> MemoryRows::blocks(int device) const { return table(device).blocks; }

Result<std::vector<InstrumentEvent>> MemoryRows::events(const Kind& kind,
                                                        const std::string& name) const {
  for (std::size_t i = 0; i < sources_.size(); ++i)
    if (sources_[i].kind == &kind && sources_[i].name == name) return events_[i];
  return fail(name_, fmt::format("has no {} '{}'", kind.key, name));
}

Eigen::Map<const RawTable<double>> MemoryRows::rows(int device, Eigen::Index first,
                                                    Eigen::Index count) const {
  if (first < 0 || count < 0 || first + count > sample_count(device))
    throw std::out_of_range("samples outside the recording");
  return {table(device).values.data() + first * width(device), count, width(device)};
}

Result<void> MemoryRows::read(int device, Eigen::Index first, Eigen::Index count,
                              RawTable<std::int16_t>& raw) const {
  raw = rows(device, first, count).cast<std::int16_t>();
  return {};
}
Result<void> MemoryRows::read(int device, Eigen::Index first, Eigen::Index count,
                              RawTable<std::int32_t>& raw) const {
  raw = rows(device, first, count).cast<std::int32_t>();
  return {};
}
Result<void> MemoryRows::read(int device, Eigen::Index first, Eigen::Index count,
                              RawTable<float>& raw) const {
  raw = rows(device, first, count).cast<float>();
  return {};
}
Result<void> MemoryRows::read(int device, Eigen::Index first, Eigen::Index count,
                              RawTable<double>& raw) const {
  raw = rows(device, first, count);
  return {};
}

}  // namespace moundwork::session
