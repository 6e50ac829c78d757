// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/skeleton.h"

#include <algorithm>

#include "core/session/attributes.h"
#include "core/session/hdf5.h"
#include "core/session/hdf5_lock.h"
#include "core/session/kinds/list.h"
#include "core/session/memory_file.h"
#include "core/session/on_disk.h"
#include "core/session/results.h"
#include "core/session/schema.h"

namespace moundwork::session {
namespace {

using hdf5::values_of;
using hdf5::write;

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

void write_known(H5::H5File& file, const Session& session) {
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

void make_records(H5::H5File& file, const Session& session) {
  H5::Group records = file.createGroup("records");
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

// Each description lies in one page of the system's, unless it is longer (a device of some eighty
// channels, eight thousand pieces of samples): on a disk that writes a page as one, a power cut in
// the midst leaves the old one or the new one, never half of each, which its check sum would refuse
// with all that it leads to.
H5::FileCreatPropList in_pages() {
  constexpr hsize_t page = 4096;
  H5::FileCreatPropList made;
  made.setFileSpaceStrategy(H5F_FSPACE_STRATEGY_PAGE, false, 1);
  made.setFileSpacePagesize(page);
  return made;
}

}  // namespace

std::string skeleton_of(const Session& session, const std::filesystem::path& path, int compression,
                        bool grows) {
  const auto held = hdf5::hold_library();
  hdf5::MemoryFile memory({}, true, grows ? in_pages() : H5::FileCreatPropList::DEFAULT);
  H5::H5File& file = memory.file();
  H5::Group root = file.openGroup("/");
  write(root, "format", std::string(schema::format_name));
  write(root, "schema", schema::version);
  write(root, "software", std::string("Moundwork " MOUNDWORK_VERSION));
  write(root, "session_id", session.id);
  write(root, "started", session.started);
  // A copy of a session that said none does not begin to say one.
  if (!session.zone.name.empty() && !session.zone.assumed) {
    write(root, "zone", session.zone.name);
    write(root, "utc_offset_s", static_cast<std::int64_t>(session.zone.utc_offset_s));
  }
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
  make_records(file, session);
  for (const Kind* kind : kinds()) kind->write(file, session);
  write_known(file, session);
  link_companion(file, path);
  if (grows) on_disk::make(file, on_disk::tables_of(session));
  for (H5::Group* group : {&device_group, &root}) group->close();
  return memory.close();
}

}  // namespace moundwork::session
