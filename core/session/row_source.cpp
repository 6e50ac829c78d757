// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/row_source.h"

#include <utility>

#include "core/session/kinds/radar/radar.h"
#include "core/session/sample_type.h"

namespace moundwork::session {

Result<RawTable<double>> RowSource::read_raw(int device, Eigen::Index first,
                                             Eigen::Index count) const {
  // Read as stored and then converted: HDF5's own conversion is several times slower.
  const SampleType stored = session().devices.at(static_cast<std::size_t>(device)).sample_type;
  return with_sample_type(stored, [&](auto scalar) -> Result<RawTable<double>> {
    RawTable<decltype(scalar)> table;
    if (auto done = read(device, first, count, table); !done)
      return tl::make_unexpected(done.error());
    return RawTable<double>(table.template cast<double>());
  });
}

Result<std::vector<RadarReading>> RowSource::radar_readings() const {
  std::vector<RadarReading> readings;
  if (!session().radar) return readings;
  auto sent = events(radar_kind(), radar_name);
  if (!sent) return tl::make_unexpected(sent.error());
  for (InstrumentEvent& event : *sent) readings.push_back(reading_of(std::move(event)));
  return readings;
}

}  // namespace moundwork::session
