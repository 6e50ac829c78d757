// SPDX-License-Identifier: GPL-3.0-or-later
#include "support/split_lead_plate.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <stdexcept>
#include <type_traits>
#include <utility>
#include <vector>

#include "core/session/reader.h"
#include "core/session/writer.h"

namespace moundwork::support {
namespace {

template <class Value>
Value taken(Result<Value> result) {
  if (!result) throw std::runtime_error(result.error().sentence());
  if constexpr (!std::is_void_v<Value>) return std::move(*result);
}

/// Every `nth` row of a device, as another one that counts at the same rate.
template <class Scalar>
void copy(const session::Reader& reader, int device, session::Writer& writer, int as, int nth) {
  const session::Device& from = reader.session().devices[static_cast<std::size_t>(device)];
  const double ticks_per_row = from.tick_rate / from.sample_rate;
  const auto blocks = taken(reader.blocks(device));
  std::int64_t written = 0;
  for (std::size_t b = 0; b < blocks.size(); ++b) {
    const std::int64_t first = blocks[b].first_sample;
    const std::int64_t end = b + 1 < blocks.size()
                                 ? blocks[b + 1].first_sample
                                 : static_cast<std::int64_t>(reader.sample_count(device));
    session::RawTable<Scalar> raw;
    taken(reader.read(device, first, end - first, raw));
    const std::int64_t before = (nth - first % nth) % nth;  // rows that are left out
    std::vector<Scalar> samples;
    for (std::int64_t r = before; r < end - first; r += nth)
      samples.insert(samples.end(), raw.row(r).begin(), raw.row(r).end());
    session::Block block = blocks[b];
    block.first_sample = written;
    block.ticks =
        DeviceTicks{static_cast<std::int64_t>(block.ticks) +
                    static_cast<std::int64_t>(ticks_per_row * static_cast<double>(before))};
    taken(writer.append(as, block, std::span<const Scalar>(samples)));
    written += static_cast<std::int64_t>(samples.size() / from.channels.size());
  }
}

void copy_device(const session::Reader& reader, int device, session::Writer& writer, int as,
                 int nth) {
  switch (reader.session().devices[static_cast<std::size_t>(device)].sample_type) {
    case session::SampleType::int16:
      return copy<std::int16_t>(reader, device, writer, as, nth);
    case session::SampleType::int32:
      return copy<std::int32_t>(reader, device, writer, as, nth);
    case session::SampleType::float32:
      return copy<float>(reader, device, writer, as, nth);
    case session::SampleType::float64:
      return copy<double>(reader, device, writer, as, nth);
  }
}

}  // namespace

void split_lead_plate(const std::filesystem::path& from, const std::filesystem::path& to) {
  const auto reader = taken(session::Reader::open(from));
  session::Session session = reader.as_recorded();
  const auto lead = std::find_if(session.plates.begin(), session.plates.end(), [](const auto& one) {
    return one.role == session::PlateRole::lead;
  });
  const int whole = lead->device;
  auto& device = session.devices[static_cast<std::size_t>(whole)];
  for (session::Channel& channel : device.channels) channel.scale *= 0.5;
  session::Device second = device;
  second.name = "second lead plate";
  second.sample_rate /= 2.0;
  const auto second_index = static_cast<int>(session.devices.size());
  session::Plate other = *lead;
  other.device = second_index;
  // Each half keeps the corners at its own end and has the middle of the whole in place of others.
  const auto corners = lead->description.corners;
  double middle = 0.0;
  for (const Eigen::Vector3d& corner : corners) middle += 0.25 * corner.x();
  for (std::size_t c = 0; c < corners.size(); ++c) {
    const bool at_home = corners[c].x() > middle;
    const auto across = std::find_if(corners.begin(), corners.end(), [&](const auto& one) {
      return (one.x() > middle) != at_home && std::abs(one.y() - corners[c].y()) < 0.05;
    });
    const Eigen::Vector3d half = 0.5 * (corners[c] + *across);
    (at_home ? lead->description : other.description).corners[c] = half;
  }
  session.plates.push_back(other);
  session.devices.push_back(second);
  auto writer = taken(session::Writer::create(to, session));
  for (int d = 0; d < second_index; ++d) copy_device(reader, d, writer, d, 1);
  copy_device(reader, whole, writer, second_index, 2);
  for (const session::RadarReading& reading : taken(reader.radar_readings()))
    taken(writer.append(reading));
  taken(writer.close());
}

}  // namespace moundwork::support
