// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/skeleton.h"

#include <fmt/format.h>

#include <algorithm>

#include "core/session/hdf5.h"
#include "core/session/hdf5_lock.h"
#include "core/session/memory_file.h"
#include "core/session/results.h"
#include "core/session/schema.h"

namespace moundwork::session {
namespace {

using hdf5::write;

void write(H5::H5Object& object, const std::string& name, const Measured& measured) {
  hdf5::write(object, name.c_str(), measured.value);
  hdf5::write(object, (name + "_u").c_str(), measured.u);
}

std::vector<double> values_of(const Eigen::Vector3d& v) { return {v.x(), v.y(), v.z()}; }

void write_athlete(H5::H5File& file, const Athlete& athlete) {
  H5::Group group = file.createGroup("athlete");
  write(group, "id", athlete.id);
  write(group, "name", athlete.name);
  write(group, "throws", schema::to_text(athlete.throws));
  write(group, "born", athlete.born);
  write(group, std::string("mass_kg"), athlete.mass);
  write(group, std::string("height_m"), athlete.height);
}

void write_conditions(H5::H5File& file, const Conditions& conditions) {
  H5::Group group = file.createGroup("conditions");
  write(group, std::string("temperature_degC"), conditions.temperature);
  write(group, std::string("pressure_Pa"), conditions.pressure);
  write(group, std::string("relative_humidity"), conditions.relative_humidity);
  write(group, "surface", conditions.surface);
}

void write_channels(H5::H5Object& samples, const std::vector<Channel>& channels) {
  std::vector<std::string> names, units;
  std::vector<double> scale, offset, lowest, highest;
  for (const Channel& channel : channels) {
    names.push_back(channel.name);
    units.push_back(channel.unit);
    scale.push_back(channel.scale);
    offset.push_back(channel.offset);
    lowest.push_back(channel.lowest);
    highest.push_back(channel.highest);
  }
  const hsize_t count = channels.size();
  write(samples, "channel_names", names);
  write(samples, "channel_units", units);
  write(samples, "scale", scale, {count});
  write(samples, "offset", offset, {count});
  write(samples, "lowest", lowest, {count});
  write(samples, "highest", highest, {count});
  write(samples, "axes", std::string("sample, channel"));
  write(samples, "scaling", std::string("value in channel_units = (stored - offset) * scale"));
}

H5::DataSet make_samples(H5::Group& group, const Device& device, int compression) {
  const hsize_t channels = device.channels.size();
  const hsize_t none[2] = {0, channels};
  const hsize_t unlimited[2] = {H5S_UNLIMITED, channels};
  // About a second a chunk: small enough for the half-second flush of a capture to be cheap, large
  // enough that reading is not ruled by chunk look-ups.
  const auto rows = static_cast<hsize_t>(std::clamp(device.sample_rate, 64.0, 16384.0));
  const hsize_t chunk[2] = {rows, channels};
  H5::DSetCreatPropList properties;
  properties.setChunk(2, chunk);
  if (compression > 0) {
    properties.setShuffle();
    properties.setDeflate(static_cast<unsigned>(std::min(compression, 9)));
  }
  return group.createDataSet("samples", schema::stored_type(device.sample_type),
                             H5::DataSpace(2, none, unlimited), properties);
}

void write_plate(H5::Group& plates, const Plate& plate, const std::vector<Device>& devices) {
  H5::Group group = plates.createGroup(schema::to_text(plate.role));
  const plate::PlateDescription& d = plate.description;
  write(group, "device", devices.at(static_cast<std::size_t>(plate.device)).name);
  write(group, "channels", std::vector<double>(plate.channels.begin(), plate.channels.end()),
        {plate.channels.size()});
  write(group, "type", static_cast<std::int64_t>(d.type));
  write(group, "origin_m", values_of(d.origin), {3});
  std::vector<double> corners;
  for (const auto& corner : d.corners)
    corners.insert(corners.end(), {corner.x(), corner.y(), corner.z()});
  write(group, "corners_m", corners, {4, 3});
  const Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor> rows = d.sensitivity;
  write(group, "sensitivity", std::vector<double>(rows.data(), rows.data() + rows.size()),
        {static_cast<hsize_t>(rows.rows()), static_cast<hsize_t>(rows.cols())});
  write(group, "reaction_sign", d.reaction_sign);
  write(group, "gain_u", plate.accuracy.gain);
  write(group, "crosstalk_u", plate.accuracy.crosstalk);
  write(group, "zero_force_u_N", plate.accuracy.zero_force);
  write(group, "cop_u_m", plate.accuracy.cop);
}

void write_radar(H5::H5File& file, const Radar& radar) {
  H5::Group group = file.createGroup("radar");
  write(group, "position_m", values_of(radar.position), {3});
  write(group, "band_Hz", radar.band);
  write(group, "resolution_mps", radar.resolution);
  write(group, std::string("delay_s"), radar.delay);
  write(group, std::string("detection_distance_m"), radar.detection_distance);
  write(group, std::string("speed_bias_mps"), radar.speed_bias);
}

void write_parts(H5::H5File& file, const Session& session) {
  if (session.radar) write_radar(file, *session.radar);
  if (session.microphone) {
    H5::Group group = file.createGroup("catch_microphone");
    write(group, "device", static_cast<std::int64_t>(session.microphone->device));
    write(group, "channel", static_cast<std::int64_t>(session.microphone->channel));
    write(group, std::string("flight_distance_m"), session.microphone->flight_distance);
    write(group, std::string("sound_distance_m"), session.microphone->sound_distance);
  }
  if (session.trigger) {
    H5::Group group = file.createGroup("trigger");
    write(group, "device", static_cast<std::int64_t>(session.trigger->device));
    write(group, "channel", static_cast<std::int64_t>(session.trigger->channel));
    write(group, std::string("lag_s"), session.trigger->lag);
  }
  if (session.foot_line) {
    H5::Group group = file.createGroup("foot_line");
    write(group, "heel_m", values_of(session.foot_line->heel), {3});
    write(group, "toe_m", values_of(session.foot_line->toe), {3});
    write(group, "u_m", session.foot_line->u);
    write(group, "source", schema::to_text(session.foot_line->source));
  }
  if (session.known_ball_speed) {
    H5::Group group = file.createGroup("known_ball_speed");
    write(group, std::string("speed_mps"), session.known_ball_speed->speed);
    write(group, "text", session.known_ball_speed->text);
  }
}

void make_record_tables(H5::H5File& file, const Session& session) {
  H5::Group records = file.createGroup("records");
  (void)hdf5::make_table(records, "radar_readings", schema::reading_type(), 64);
  H5::DataSet releases = hdf5::make_table(records, "known_releases", schema::release_type(), 16);
  std::vector<schema::ReleaseRow> rows;
  for (const KnownRelease& known : session.known_releases)
    rows.push_back({seconds(known.time), known.u, hdf5::Text<96>(known.source)});
  hdf5::append_rows(releases, schema::release_type(), rows.data(), rows.size());
}

// Any HDF5 reader that opens the session finds the companion's groups as if they were inside.
void link_companion(const H5::H5File& file, const std::filesystem::path& path) {
  const std::string companion = companion_path(path).filename().string();
  for (const char* group : {"results", "edits"})
    H5Lcreate_external(companion.c_str(), group, file.getId(), group, H5P_DEFAULT, H5P_DEFAULT);
}

}  // namespace

std::string skeleton_of(const Session& session, const std::filesystem::path& path,
                        int compression) {
  const auto held = hdf5::hold_library();
  hdf5::MemoryFile memory({}, true);
  H5::H5File& file = memory.file();
  H5::Group root = file.openGroup("/");
  write(root, "format", std::string(schema::format_name));
  write(root, "schema", schema::version);
  write(root, "software", std::string("Moundwork " MOUNDWORK_VERSION));
  write(root, "session_id", session.id);
  write(root, "started", session.started);
  write(root, "origin", session.origin);
  write(root, "frame",
        std::string("x from the rubber toward home plate, y to the left of someone facing home, z "
                    "up; origin at the middle of the rubber's front edge; SI units"));
  write_athlete(file, session.athlete);
  write_conditions(file, session.conditions);
  H5::Group device_group = file.createGroup("devices");
  for (std::size_t i = 0; i < session.devices.size(); ++i) {
    const Device& device = session.devices[i];
    H5::Group group = device_group.createGroup(device.name);
    write(group, "index", static_cast<std::int64_t>(i));
    write(group, "sample_type", schema::to_text(device.sample_type));
    write(group, "sample_rate_Hz", device.sample_rate);
    write(group, "tick_rate_Hz", device.tick_rate);
    write(group, std::string("delay_s"), device.delay);
    write(group, "counts_session_time", static_cast<std::int64_t>(device.counts_session_time));
    H5::DataSet samples = make_samples(group, device, compression);
    write_channels(samples, device.channels);
    (void)hdf5::make_table(group, "blocks", schema::block_type(), 256);
  }
  H5::Group plates = file.createGroup("plates");
  for (const Plate& plate : session.plates) write_plate(plates, plate, session.devices);
  write_parts(file, session);
  make_record_tables(file, session);
  link_companion(file, path);
  for (H5::Group* group : {&plates, &device_group, &root}) group->close();
  return memory.close();
}

}  // namespace moundwork::session
