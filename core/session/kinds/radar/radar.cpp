// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/kinds/radar/radar.h"

#include "core/session/attributes.h"
#include "core/session/event_rows.h"
#include "core/session/hdf5.h"

namespace moundwork::session {
namespace {

using hdf5::read_measured;
using hdf5::read_number;
using hdf5::read_vector;
using hdf5::values_of;
using hdf5::write;

void write_radar(H5::H5File& file, const Session& session) {
  // Every session has the table, as those without a radar always had it.
  H5::Group records = file.openGroup("records");
  (void)hdf5::make_table(records, "radar_readings", event_type(*radar_kind().events),
                         event_rows_per_chunk);
  if (!session.radar) return;
  const Radar& radar = *session.radar;
  H5::Group group = file.createGroup("radar");
  write(group, "position_m", values_of(radar.position), {3});
  write(group, "band_Hz", radar.band);
  write(group, "resolution_mps", radar.resolution);
  write(group, std::string("delay_s"), radar.delay);
  write(group, std::string("detection_distance_m"), radar.detection_distance);
  write(group, std::string("speed_bias_mps"), radar.speed_bias);
}

void read_radar(const H5::H5File& file, Session& session) {
  if (!file.nameExists("radar")) return;
  const H5::Group group = file.openGroup("radar");
  Radar radar;
  radar.position = read_vector(group, "position_m");
  radar.band = read_number(group, "band_Hz");
  radar.resolution = read_number(group, "resolution_mps");
  radar.delay = read_measured(group, "delay_s");
  radar.detection_distance = read_measured(group, "detection_distance_m");
  radar.speed_bias = read_measured(group, "speed_bias_mps");
  session.radar = radar;
}

EventTable readings() {
  return {"readings",
          {{"speed", "m/s", "as the radar told it, not corrected for the angle", false},
           {"direction", "1", "1 toward home, -1 back, 0 not told", true}},
          false,
          [](const Session& session) {
            return session.radar ? std::vector<std::string>{radar_name}
                                 : std::vector<std::string>{};
          },
          [](const std::string& /*name*/) { return std::string("records/radar_readings"); }};
}

}  // namespace

const Kind& radar_kind() {
  static const Kind kind{"radar", write_radar, read_radar, {}, readings()};
  return kind;
}

InstrumentEvent event_of(const RadarReading& reading) {
  return {reading.arrival, {reading.speed, static_cast<double>(reading.direction)}, reading.text};
}

RadarReading reading_of(InstrumentEvent event) {
  return {event.arrival, event.values[0], static_cast<int>(event.values[1]), std::move(event.text)};
}

}  // namespace moundwork::session
