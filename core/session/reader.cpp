// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/reader.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <span>
#include <stdexcept>
#include <string_view>

#include "core/base/lab_file.h"
#include "core/session/attributes.h"
#include "core/session/companion.h"
#include "core/session/edit_list.h"
#include "core/session/event_rows.h"
#include "core/session/fact.h"
#include "core/session/hdf5.h"
#include "core/session/hdf5_lock.h"
#include "core/session/kinds/list.h"
#include "core/session/on_disk.h"
#include "core/session/own_parts.h"
#include "core/session/reliable_rows.h"
#include "core/session/schema.h"
#include "core/session/start.h"

namespace moundwork::session {
namespace {

using hdf5::read_integer;
using hdf5::read_measured;
using hdf5::read_number;
using hdf5::read_numbers;
using hdf5::read_text;
using hdf5::read_texts;
using hdf5::read_vector;
using hdf5::require;

Athlete read_athlete(const H5::H5File& file) {
  const H5::Group group = file.openGroup("athlete");
  Athlete athlete;
  athlete.id = read_text(group, "id");
  athlete.name = read_text(group, "name");
  athlete.throws = schema::hand_from(read_text(group, "throws"));
  athlete.born = read_text(group, "born");
  athlete.mass = read_measured(group, "mass_kg");
  athlete.height = read_measured(group, "height_m");
  require(athlete.mass.known() && athlete.mass.value > 0.0,
          "the athlete's mass is not a positive number");
  return athlete;
}

Conditions read_conditions(const H5::H5File& file) {
  const H5::Group group = file.openGroup("conditions");
  return {read_measured(group, "temperature_degC"), read_measured(group, "pressure_Pa"),
          read_measured(group, "relative_humidity"), read_text(group, "surface")};
}

SessionZone read_zone(const H5::Group& root) {
  SessionZone zone{read_text(root, "zone"), 0, false};
  // The International Date Line's two sides are 26 h apart.
  constexpr std::int64_t farthest = 18 * 3600;
  const std::int64_t offset = read_integer(root, "utc_offset_s");
  require(!zone.name.empty() && offset >= -farthest && offset <= farthest, "its time zone is none");
  zone.utc_offset_s = static_cast<int>(offset);
  return zone;
}

Device read_device(const H5::Group& group, const H5::DataSet& samples, const std::string& name) {
  Device device;
  device.name = name;
  device.sample_type = schema::sample_type_from(read_text(group, "sample_type"));
  device.sample_rate = read_number(group, "sample_rate_Hz");
  device.tick_rate = read_number(group, "tick_rate_Hz");
  device.delay = read_measured(group, "delay_s");
  device.counts_session_time = read_integer(group, "counts_session_time") != 0;
  require(std::isfinite(device.sample_rate) && device.sample_rate > 0.0 &&
              std::isfinite(device.tick_rate) && device.tick_rate > 0.0,
          fmt::format("device '{}' has no positive rate", name));
  const auto names = read_texts(samples, "channel_names");
  const auto units = read_texts(samples, "channel_units");
  const auto scale = read_numbers(samples, "scale");
  const auto offset = read_numbers(samples, "offset");
  const auto lowest = read_numbers(samples, "lowest");
  const auto highest = read_numbers(samples, "highest");
  hdf5::require_plain(samples.getDataType());
  hsize_t shape[2] = {0, 0};
  require(samples.getSpace().getSimpleExtentNdims() == 2,
          fmt::format("the samples of '{}' are not a table", name));
  samples.getSpace().getSimpleExtentDims(shape);
  for (const std::size_t size :
       {names.size(), units.size(), scale.size(), offset.size(), lowest.size(), highest.size()})
    require(size == shape[1],
            fmt::format("device '{}' describes {} channels and holds {}", name, size, shape[1]));
  require(shape[1] >= 1 && shape[1] <= 4096,
          fmt::format("device '{}' holds {} channels", name, shape[1]));
  for (std::size_t c = 0; c < names.size(); ++c)
    device.channels.push_back({names[c], units[c], scale[c], offset[c], lowest[c], highest[c]});
  return device;
}

void read_known(const H5::H5File& file, Session& session) {
  if (file.nameExists("foot_line")) {
    const H5::Group group = file.openGroup("foot_line");
    session.foot_line = FootLine{read_vector(group, "heel_m"), read_vector(group, "toe_m"),
                                 read_number(group, "u_m"),
                                 schema::foot_line_source_from(read_text(group, "source"))};
  }
  if (file.nameExists("known_ball_speed")) {
    const H5::Group group = file.openGroup("known_ball_speed");
    session.known_ball_speed =
        KnownBallSpeed{read_measured(group, "speed_mps"), read_text(group, "text")};
  }
  for (const auto& row : hdf5::read_rows<schema::ReleaseRow>(
           file.openDataSet("records/known_releases"), schema::release_type()))
    session.known_releases.push_back({session_time(row.time), row.u, row.source.str()});
}

// Samples that lie in the file as they are go from it straight to where they are wanted; HDF5's
// chunk cache would only copy them once more. Packed ones keep it, so that none is unpacked twice.
H5::DataSet open_samples(const H5::Group& device) {
  H5::DataSet samples = device.openDataSet("samples");
  if (samples.getCreatePlist().getNfilters() > 0) return samples;
  H5::DSetAccPropList uncached;
  uncached.setChunkCache(H5D_CHUNK_CACHE_NSLOTS_DEFAULT, 0, H5D_CHUNK_CACHE_W0_DEFAULT);
  samples.close();
  return device.openDataSet("samples", uncached);
}

}  // namespace

struct Reader::Impl {
  std::filesystem::path path;
  H5::H5File file;
  Session session, as_recorded;
  std::vector<H5::DataSet> samples;
  std::vector<Eigen::Index> counts;
  // Of a recording; else the tables tell.
  std::vector<hsize_t> block_counts;  // of each device
  std::vector<hsize_t> event_counts;  // of each event source

  void load() {
    constexpr std::array<std::string_view, 2> companion{"results", "edits"};
    hdf5::require_own_parts(file, companion);
    const auto on_disk = on_disk::read(file);
    const H5::Group root = file.openGroup("/");
    session.id = read_text(root, "session_id");
    session.started = read_text(root, "started");
    if (root.attrExists("zone")) session.zone = read_zone(root);
    session.origin = read_text(root, "origin");
    session.athlete = read_athlete(file);
    session.conditions = read_conditions(file);
    load_devices();
    for (const Kind* kind : kinds()) kind->read(file, session);
    read_known(file, session);
    if (on_disk)
      count_reliable(*on_disk);
    else
      count_held();
  }

  [[nodiscard]] H5::DataSet blocks_of(std::size_t device) const {
    return file.openDataSet("devices/" + session.devices[device].name + "/blocks");
  }

  // Of a file that took its name when it was whole, or that says nothing of the disk.
  void count_held() {
    for (std::size_t d = 0; d < samples.size(); ++d) {
      hdf5::require_held(samples[d], samples_words(d));
      hsize_t shape[2] = {0, 0};
      samples[d].getSpace().getSimpleExtentDims(shape);
      counts.push_back(static_cast<Eigen::Index>(shape[0]));
    }
  }

  // Of a recording: as on_disk::tables_of() names its tables.
  void count_reliable(const std::vector<std::int64_t>& on_disk) {
    const auto sources = event_sources(session);
    require(on_disk.size() == 2 * samples.size() + sources.size(),
            "what is on the disk is counted of other tables than it has");
    // The library knows the size that it met when it opened the file, which may grow.
    std::error_code status;
    const hsize_t bytes = std::filesystem::file_size(path, status);
    require(!status, "it was taken away while it was opened");
    const auto counted = [&](std::size_t table) { return static_cast<hsize_t>(on_disk[table]); };
    for (std::size_t d = 0; d < samples.size(); ++d) {
      const H5::DataSet blocks = blocks_of(d);
      hdf5::require_plain(blocks.getDataType());
      hdf5::require_counted(samples[d], counted(2 * d), bytes, samples_words(d));
      hdf5::require_counted(blocks, counted(2 * d + 1), bytes,
                            fmt::format("the blocks of '{}'", session.devices[d].name));
      const auto rows =
          reliable::rows_of(samples[d], blocks, {counted(2 * d), counted(2 * d + 1)}, bytes);
      counts.push_back(static_cast<Eigen::Index>(rows.samples));
      block_counts.push_back(rows.blocks);
    }
    for (std::size_t i = 0; i < sources.size(); ++i) {
      const H5::DataSet rows = file.openDataSet(sources[i].kind->events->path(sources[i].name));
      const std::size_t table = 2 * samples.size() + i;
      hdf5::require_plain(rows.getDataType());
      hdf5::require_counted(rows, counted(table), bytes,
                            fmt::format("the {}", sources[i].kind->events->word));
      event_counts.push_back(reliable_events(rows, *sources[i].kind->events, counted(table)));
    }
  }

  [[nodiscard]] std::string samples_words(std::size_t device) const {
    return fmt::format("the samples of '{}'", session.devices[device].name);
  }

  void load_devices() {
    const H5::Group group = file.openGroup("devices");
    const auto count = static_cast<std::size_t>(group.getNumObjs());
    session.devices.resize(count);
    samples.resize(count);
    std::vector<bool> seen(count, false);
    for (std::size_t i = 0; i < count; ++i) {
      const std::string name = group.getObjnameByIdx(i);
      const H5::Group device = group.openGroup(name);
      const std::int64_t index = read_integer(device, "index");
      require(index >= 0 && index < static_cast<std::int64_t>(count) &&
                  !seen[static_cast<std::size_t>(index)],
              "the devices are not numbered one by one");
      const auto at = static_cast<std::size_t>(index);
      seen[at] = true;
      samples[at] = open_samples(device);
      session.devices[at] = read_device(device, samples[at], name);
    }
  }
};

Reader::Reader(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
Reader::Reader(Reader&&) noexcept = default;
Reader& Reader::operator=(Reader&& other) noexcept {
  const auto held = hdf5::hold_library();
  impl_ = std::move(other.impl_);
  return *this;
}
Reader::~Reader() {
  const auto held = hdf5::hold_library();
  impl_.reset();
}

Result<Reader> Reader::open(const std::filesystem::path& path) {
  std::error_code status;
  if (!std::filesystem::exists(path, status))
    return fail(path.string(), "there is no such file", "check the name");
  if (std::filesystem::is_directory(path, status))
    return fail(path.string(), "is a folder, where a session file is wanted",
                "name the files in it, as in FOLDER/*.h5");
  if (auto can = hdf5::readable(path); !can) return tl::make_unexpected(can.error());
  const auto held = hdf5::hold_library();
  auto impl = std::make_unique<Impl>();
  impl->path = path;
  try {
    if (!H5::H5File::isHdf5(path.string()))
      return fail(path.string(), "is not an HDF5 file, and a session file is one",
                  Remedy::import_it);
    impl->file = hdf5::open_to_read(path);
    const H5::Group root = impl->file.openGroup("/");
    if (!root.attrExists("format") || read_text(root, "format") != schema::format_name)
      return fail(path.string(), "is an HDF5 file but not a Moundwork session", Remedy::import_it);
    if (const auto found = read_integer(root, "schema"); found != schema::version)
      return fail(
          path.string(),
          fmt::format("has session format {}, this program reads {}", found, schema::version),
          "use the version of the program that wrote it");
    impl->load();
    impl->as_recorded = impl->session;
    apply_facts(own_edits(path, impl->session.id), impl->session);
  } catch (const H5::Exception& exception) {
    return hdf5::failure(path.string(), "cannot be read as a session", exception);
  } catch (const std::invalid_argument& lie) {
    return fail(path.string(), std::string("cannot be read as a session: ") + lie.what());
  }
  if (impl->session.zone.name.empty()) {
    const auto zone = zone_for(path);
    if (!zone) return tl::make_unexpected(zone.error());
    for (Session* one : {&impl->session, &impl->as_recorded}) assume_zone(*one, *zone);
  }
  return Reader(std::move(impl));
}

const Session& Reader::session() const { return impl_->session; }
const Session& Reader::as_recorded() const { return impl_->as_recorded; }
const std::filesystem::path& Reader::path() const { return impl_->path; }
Eigen::Index Reader::sample_count(int device) const {
  return impl_->counts.at(static_cast<std::size_t>(device));
}

Result<bool> Reader::is_as_recorded() const {
  try {
    for (std::size_t d = 0; d < impl_->samples.size(); ++d) {
      const auto held = hdf5::hold_library();
      const auto rows = reliable::rows_of(impl_->samples[d], impl_->blocks_of(d), {0, 0},
                                          std::filesystem::file_size(impl_->path));
      if (static_cast<Eigen::Index>(rows.samples) < impl_->counts[d]) return false;
    }
    const auto held = hdf5::hold_library();
    const auto sources = event_sources(impl_->session);
    for (std::size_t i = 0; i < impl_->event_counts.size(); ++i) {
      const EventTable& kind = *sources[i].kind->events;
      const H5::DataSet table = impl_->file.openDataSet(kind.path(sources[i].name));
      if (reliable_events(table, kind, 0) < impl_->event_counts[i]) return false;
    }
  } catch (const H5::Exception& exception) {
    return hdf5::failure(impl_->path.string(), "cannot be read again", exception);
  } catch (const std::filesystem::filesystem_error& problem) {
    return fail(impl_->path.string(), "cannot be read again: " + problem.code().message());
  }
  return true;
}

Result<std::vector<Block>> Reader::blocks(int device) const {
  const auto held = hdf5::hold_library();
  try {
    const auto index = static_cast<std::size_t>(device);
    const std::string& name = impl_->session.devices.at(index).name;
    const H5::DataSet table = impl_->blocks_of(index);
    const H5::CompType& type = schema::block_type();
    hdf5::require_plain(table.getDataType());
    const hsize_t count =
        impl_->block_counts.empty() ? hdf5::rows_held(table) : impl_->block_counts[index];
    std::vector<Block> blocks;
    blocks.reserve(count);
    std::int64_t last = 0;
    // In pieces: a long session has hundreds of thousands, and twice that many bytes are a burden.
    constexpr hsize_t piece = 4096;
    std::vector<schema::BlockRow> rows(std::min(piece, count));
    for (hsize_t first = 0; first < count; first += piece) {
      const hsize_t size = std::min(piece, count - first);
      const H5::DataSpace source = table.getSpace();
      source.selectHyperslab(H5S_SELECT_SET, &size, &first);
      table.read(rows.data(), type, H5::DataSpace(1, &size), source);
      for (const auto& row : std::span(rows).first(size)) {
        if (row.first_sample > sample_count(device)) return blocks;  // samples lost by a kill
        if (row.first_sample < last)
          return fail(impl_->path.string(), "the blocks of '" + name + "' are out of order");
        last = row.first_sample;
        blocks.push_back({row.first_sample, DeviceTicks{row.ticks}, session_time(row.arrival),
                          row.missing_before});
      }
    }
    return blocks;
  } catch (const H5::Exception& exception) {
    return hdf5::failure(impl_->path.string(), "its blocks cannot be read", exception);
  }
}

Result<std::vector<InstrumentEvent>> Reader::events(const Kind& kind,
                                                    const std::string& name) const {
  const auto held = hdf5::hold_library();
  try {
    const auto sources = event_sources(impl_->session);
    const auto source = std::find_if(sources.begin(), sources.end(), [&](const auto& one) {
      return one.kind == &kind && one.name == name;
    });
    if (source == sources.end())
      return fail(impl_->path.string(),
                  fmt::format("has no instrument '{}' that sends {}", name, kind.events->word));
    const H5::DataSet table = impl_->file.openDataSet(kind.events->path(name));
    const hsize_t count =
        impl_->event_counts.empty()
            ? hdf5::rows_held(table)
            : impl_->event_counts[static_cast<std::size_t>(source - sources.begin())];
    return read_events(table, *kind.events, count);
  } catch (const H5::Exception& exception) {
    return hdf5::failure(
        impl_->path.string(),
        fmt::format("its {} of '{}' cannot be read", kind.events->word, name).c_str(), exception);
  }
}

template <class Scalar>
Result<void> Reader::read_stored(int device, Eigen::Index first, Eigen::Index count,
                                 RawTable<Scalar>& raw) const {
  const auto index = static_cast<std::size_t>(device);
  const Eigen::Index available = impl_->counts.at(index);
  if (first < 0 || count < 0 || first + count > available)
    throw std::out_of_range("samples outside the recording");
  const auto channels = static_cast<Eigen::Index>(impl_->session.devices[index].channels.size());
  raw.resize(count, channels);
  if (count == 0) return {};
  const auto held = hdf5::hold_library();
  try {
    const hsize_t start[2] = {static_cast<hsize_t>(first), 0};
    const hsize_t size[2] = {static_cast<hsize_t>(count), static_cast<hsize_t>(channels)};
    const H5::DataSet& table = impl_->samples[index];
    H5::DataSpace source = table.getSpace();
    source.selectHyperslab(H5S_SELECT_SET, size, start);
    table.read(raw.data(), hdf5::native<Scalar>(), H5::DataSpace(2, size), source);
  } catch (const H5::Exception& exception) {
    return hdf5::failure(impl_->path.string(), "its samples cannot be read", exception);
  }
  return {};
}

Result<void> Reader::read(int device, Eigen::Index first, Eigen::Index count,
                          RawTable<std::int16_t>& raw) const {
  return read_stored(device, first, count, raw);
}
Result<void> Reader::read(int device, Eigen::Index first, Eigen::Index count,
                          RawTable<std::int32_t>& raw) const {
  return read_stored(device, first, count, raw);
}
Result<void> Reader::read(int device, Eigen::Index first, Eigen::Index count,
                          RawTable<float>& raw) const {
  return read_stored(device, first, count, raw);
}
Result<void> Reader::read(int device, Eigen::Index first, Eigen::Index count,
                          RawTable<double>& raw) const {
  return read_stored(device, first, count, raw);
}

Result<std::vector<Edit>> Reader::edits() const {
  const auto whose = companion_of(path());
  if (!whose) return tl::make_unexpected(whose.error());
  if (*whose != Companion::own) return std::vector<Edit>{};
  return read_edits(path());
}

}  // namespace moundwork::session
