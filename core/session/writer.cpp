// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/writer.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <optional>
#include <system_error>
#include <utility>

#include "core/base/working_files.h"
#include "core/base/write_file.h"
#include "core/session/companion.h"
#include "core/session/event_rows.h"
#include "core/session/file_lock.h"
#include "core/session/hdf5.h"
#include "core/session/hdf5_lock.h"
#include "core/session/kinds/list.h"
#include "core/session/kinds/radar/radar.h"
#include "core/session/on_disk.h"
#include "core/session/plate_rules.h"
#include "core/session/reliable_rows.h"
#include "core/session/schema.h"
#include "core/session/skeleton.h"

namespace moundwork::session {

namespace {

// What closing can add to a file, in bytes: descriptions, and of packed samples those that are not
// packed yet, for which the library keeps 1 MB a table.
hsize_t room_for_closing(const std::vector<H5::DataSet>& samples) {
  hsize_t room = hsize_t{1} << 18U;
  for (const H5::DataSet& table : samples)
    if (table.getCreatePlist().getNfilters() > 0) room += hsize_t{1} << 20U;
  return room;
}

// What the library has open of one session.
struct Tables {
  H5::H5File file;
  std::vector<H5::DataSet> samples, blocks;  // of each device
  std::vector<H5::DataSet> events;           // of each event source

  Tables(const std::filesystem::path& path, const std::vector<Device>& devices,
         const std::vector<EventSource>& sources)
      : file(path.string(), H5F_ACC_RDWR, H5::FileCreatPropList::DEFAULT,
             hdf5::writer_access(false)) {
    for (const Device& device : devices) {
      const H5::Group group = file.openGroup("devices").openGroup(device.name);
      samples.push_back(group.openDataSet("samples"));
      blocks.push_back(group.openDataSet("blocks"));
    }
    for (const EventSource& source : sources)
      events.push_back(file.openDataSet(source.kind->events->path(source.name)));
  }

  void flush() {
    for (H5::DataSet& table : blocks) hdf5::flush(table);
    for (H5::DataSet& table : samples) hdf5::flush(table);
    for (H5::DataSet& table : events) hdf5::flush(table);
  }

  void close() {
    hdf5::make_room(file, room_for_closing(samples));
    hdf5::flush(file);
    samples.clear();
    blocks.clear();
    events.clear();
    file.close();
  }

  // Closes by the identifiers, because the objects print what fails.
  [[nodiscard]] bool close_unwritten(std::string_view skeleton) noexcept {
    hdf5::redirect_to_nowhere(file, skeleton);
    bool closed = true;
    for (auto* tables : {&samples, &blocks, &events})
      for (H5::DataSet& table : *tables) closed = H5Dclose(table.getId()) >= 0 && closed;
    return H5Fclose(file.getId()) >= 0 && closed;
  }
};

// What is written must be read again.
Result<void> texts_fit(const Session& session, const std::filesystem::path& path) {
  const auto fits = [&](const char* what, const std::string& text) -> Result<void> {
    if (text.size() < hdf5::longest_text) return {};
    return fail(path.string(),
                fmt::format("{} has {} bytes, where at most {} can be kept", what, text.size(),
                            hdf5::longest_text - 1),
                "shorten it");
  };
  const std::pair<const char*, const std::string*> texts[] = {
      {"the athlete's id", &session.athlete.id},
      {"the athlete's name", &session.athlete.name},
      {"the date of birth", &session.athlete.born},
      {"the surface", &session.conditions.surface},
      {"the session's origin", &session.origin}};
  for (const auto& [what, text] : texts)
    if (auto done = fits(what, *text); !done) return done;
  for (const Device& device : session.devices)
    if (auto done = fits("a device's name", device.name); !done) return done;
  if (session.known_ball_speed)
    return fits("the ball speed's text", session.known_ball_speed->text);
  return {};
}

// Known by name, so that two writers of one session meet; where it is a link, or a second name of
// another file, what is written would go elsewhere.
Result<void> make_or_take(const std::filesystem::path& working) {
  const int descriptor = ::open(
      working.c_str(), O_WRONLY | O_CREAT | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC, S_IRUSR | S_IWUSR);
  if (descriptor < 0 && errno != ELOOP)
    return fail(working.string(), std::string("cannot be written: ") + std::strerror(errno),
                "check that the folder may be written to and the disk has room");
  struct stat found {};
  const bool ours = descriptor >= 0 && ::fstat(descriptor, &found) == 0 && S_ISREG(found.st_mode) &&
                    found.st_nlink == 1;
  if (descriptor >= 0) ::close(descriptor);
  if (ours) return {};
  return fail(working.string(), "is a link or the like, and would lead what is written elsewhere",
              "delete it");
}

}  // namespace

struct Writer::Impl {
  std::filesystem::path final_path, working_path;
  std::optional<FileLock> lock;
  std::unique_ptr<Tables> tables;
  std::vector<Device> devices;
  std::vector<EventSource> sources;
  std::vector<std::int64_t> rows;  // as on_disk::tables_of() names their tables
  std::string session_id;
  std::string skeleton;  // what the file was made of
  std::optional<std::filesystem::path> aside;
  bool appear_when_closed = true;
  bool closed = false;

  [[nodiscard]] std::int64_t& samples(std::size_t device) { return rows[2 * device]; }
  [[nodiscard]] std::int64_t& blocks(std::size_t device) { return rows[2 * device + 1]; }
  [[nodiscard]] std::int64_t& events(std::size_t source) {
    return rows[2 * devices.size() + source];
  }

  [[nodiscard]] bool has_final_name() const { return working_path == final_path; }

  // Lets go of the file without writing to it again.
  void let_go() noexcept {
    // What the library fails to close is broken inside it, and closing it twice is a crash.
    if (tables && !tables->close_unwritten(skeleton)) (void)tables.release();
    tables.reset();
    lock.reset();
    closed = true;
    std::error_code ignored;
    if (has_final_name()) return;
    std::filesystem::remove(working_path, ignored);
    forget_working(working_path);
  }

  ~Impl() {
    if (closed) return;
    // A recording that is merely dropped keeps what it has.
    if (tables && has_final_name() && H5Fflush(tables->file.getId(), H5F_SCOPE_GLOBAL) >= 0) return;
    let_go();
  }
};

Writer::Writer(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
Writer::Writer(Writer&&) noexcept = default;
Writer& Writer::operator=(Writer&& other) noexcept {
  const auto held = hdf5::hold_library();
  impl_ = std::move(other.impl_);
  return *this;
}
Writer::~Writer() {
  const auto held = hdf5::hold_library();
  impl_.reset();
}

// Other session's results stay under a new session's name only where they cannot be moved: whoever
// reads them then sees by their identity whose they are.
Result<Writer> Writer::create(const std::filesystem::path& path, const Session& session,
                              WriterOptions options) {
  auto made = make(path, session, options);
  if (made && made->impl_->has_final_name())
    made->impl_->aside = set_stranger_aside(path, session.id).value_or(std::nullopt);
  return made;
}

const std::optional<std::filesystem::path>& Writer::set_aside() const { return impl_->aside; }

Result<Writer> Writer::make(const std::filesystem::path& path, const Session& session,
                            WriterOptions options) {
  auto held = hdf5::hold_library();
  if (std::filesystem::is_directory(path))
    return fail(path.string(), "is a folder", "give the name of a file");
  if (std::filesystem::exists(path) && !std::filesystem::is_regular_file(path))
    return fail(path.string(), "is a device or the like, which a file would take the place of",
                "give the name of a file");
  for (const Device& device : session.devices)
    if (device.name.empty() || device.name.find('/') != std::string::npos)
      return fail(path.string(), fmt::format("a device cannot be named '{}'", device.name),
                  "use a name without a slash");
  if (auto good = check_plates(session, path.string()); !good)
    return tl::make_unexpected(good.error());
  if (const auto fits = texts_fit(session, path); !fits) return tl::make_unexpected(fits.error());
  auto impl = std::make_unique<Impl>();
  impl->final_path = path;
  impl->session_id = session.id;
  impl->working_path = path;
  impl->appear_when_closed = options.appear_when_closed;
  impl->working_path += ".part";
  // Locked before a byte of it is changed: one that is there is a killed writer's, or another's who
  // is at work, and then not ours to remove.
  if (const auto ours = make_or_take(impl->working_path); !ours) {
    impl->closed = true;
    return tl::make_unexpected(ours.error());
  }
  auto lock = FileLock::acquire(impl->working_path);
  if (!lock) {
    impl->closed = true;
    return tl::make_unexpected(lock.error());
  }
  impl->lock = std::move(*lock);
  note_working(impl->working_path);
  try {
    impl->skeleton = skeleton_of(session, path, options.compression, !options.appear_when_closed);
    if (auto written = write_file(impl->working_path, impl->skeleton); !written)
      return tl::make_unexpected(written.error());
    impl->devices = session.devices;
    impl->sources = event_sources(session);
    impl->rows.assign(2 * impl->devices.size() + impl->sources.size(), 0);
    impl->tables = std::make_unique<Tables>(impl->working_path, session.devices, impl->sources);
  } catch (const H5::Exception& exception) {
    return hdf5::failure(path.string(), "cannot be made", exception);
  }
  if (!options.appear_when_closed) {
    try {
      hdf5::begin_single_writer(impl->tables->file);
      // Only now: a kill before this moment must not leave half a file under the session's name.
      // Nobody who reads another file is to wait for this one's disk.
      held.unlock();
      put_in_place(impl->working_path, impl->final_path);
      held.lock();
      impl->working_path = impl->final_path;
    } catch (const H5::Exception& exception) {
      return hdf5::failure(path.string(), "cannot be opened for recording", exception);
    } catch (const std::filesystem::filesystem_error& problem) {
      held.lock();
      return fail(path.string(), "cannot be put in place: " + problem.code().message());
    }
  }
  return Writer(std::move(impl));
}

Result<void> Writer::append(int device, const Block& block, const RawSamples& samples) {
  const auto held = hdf5::hold_library();
  const auto index = static_cast<std::size_t>(device);
  const Device& described = impl_->devices.at(index);
  const std::size_t channels = described.channels.size();
  const std::size_t cells = std::visit([](const auto& span) { return span.size(); }, samples);
  const bool matches = samples.index() == static_cast<std::size_t>(described.sample_type);
  if (!matches || channels == 0 || cells % channels != 0)
    throw std::invalid_argument("samples of another shape or type than the device has");
  std::int64_t& written = impl_->samples(index);
  if (block.first_sample != written)
    throw std::invalid_argument("a block that does not begin where the last one ended");
  errno = 0;
  try {
    // The row goes ahead of its samples: a kill in between leaves a block without samples, which
    // readers drop, and never samples whose time nobody knows.
    schema::BlockRow row{block.first_sample, static_cast<std::int64_t>(block.ticks),
                         seconds(block.arrival), block.missing_before, 0};
    if (!impl_->appear_when_closed)
      row.check = std::visit(
          [&](const auto& span) { return reliable::sum_of(row, std::as_bytes(span)); }, samples);
    hdf5::append_rows(impl_->tables->blocks[index], schema::block_type(), &row, 1);
    ++impl_->blocks(index);
    const hsize_t count[2] = {cells / channels, channels};
    if (count[0] > 0) {
      const hsize_t start[2] = {static_cast<hsize_t>(written), 0};
      const hsize_t size[2] = {start[0] + count[0], channels};
      H5::DataSet& table = impl_->tables->samples[index];
      table.extend(size);
      H5::DataSpace target = table.getSpace();
      target.selectHyperslab(H5S_SELECT_SET, count, start);
      std::visit(
          [&](const auto& span) {
            using Scalar = std::remove_const_t<typename std::decay_t<decltype(span)>::element_type>;
            table.write(span.data(), hdf5::native<Scalar>(), H5::DataSpace(2, count), target);
          },
          samples);
      written += static_cast<std::int64_t>(count[0]);
    }
  } catch (const H5::Exception& exception) {
    return hdf5::write_failure(impl_->working_path.string(), "cannot be written", exception);
  }
  return {};
}

Result<void> Writer::append_event(std::size_t source, const InstrumentEvent& event) {
  const auto held = hdf5::hold_library();
  const EventTable& table = *impl_->sources.at(source).kind->events;
  errno = 0;
  try {
    session::append_event(impl_->tables->events[source], table, event);
    ++impl_->events(source);
  } catch (const H5::Exception& exception) {
    return hdf5::write_failure(impl_->working_path.string(), "cannot be written", exception);
  }
  return {};
}

Result<void> Writer::append(const RadarReading& reading) {
  const auto radar = std::find_if(impl_->sources.begin(), impl_->sources.end(),
                                  [](const auto& one) { return one.kind == &radar_kind(); });
  if (radar == impl_->sources.end())
    throw std::invalid_argument("a reading for a session without a radar");
  return append_event(static_cast<std::size_t>(radar - impl_->sources.begin()), event_of(reading));
}

Result<void> Writer::flush() {
  const auto held = hdf5::hold_library();
  errno = 0;
  try {
    if (impl_->appear_when_closed)
      hdf5::flush(impl_->tables->file);
    else
      impl_->tables->flush();
  } catch (const H5::Exception& exception) {
    return hdf5::write_failure(impl_->working_path.string(), "cannot be flushed", exception);
  }
  return {};
}

const std::vector<std::int64_t>& Writer::rows() const { return impl_->rows; }

void Writer::renamed_to(const std::filesystem::path& path) {
  impl_->final_path = path;
  impl_->working_path = path;
}

Result<ForcedFile> Writer::forced_file() const {
  const auto held = hdf5::hold_library();
  try {
    const H5::H5File& file = impl_->tables->file;
    return ForcedFile::open(hdf5::descriptor_of(file), impl_->working_path, on_disk::place_in(file),
                            impl_->rows.size());
  } catch (const H5::Exception& exception) {
    return hdf5::failure(impl_->working_path.string(), "cannot be opened for recording", exception);
  }
}

void Writer::abandon() noexcept {
  const auto held = hdf5::hold_library();
  if (!impl_->closed) impl_->let_go();
}

Result<void> Writer::close() {
  const bool names_it = !impl_->has_final_name();
  auto finished = finish();
  if (finished && names_it)
    impl_->aside = set_stranger_aside(impl_->final_path, impl_->session_id).value_or(std::nullopt);
  return finished;
}

Result<void> Writer::finish() {
  const auto held = hdf5::hold_library();
  errno = 0;
  try {
    impl_->tables->close();
  } catch (const H5::Exception& exception) {
    const auto failure =
        hdf5::write_failure(impl_->working_path.string(), "cannot be written whole", exception);
    impl_->let_go();
    return failure;
  }
  impl_->closed = true;
  if (!impl_->has_final_name()) {
    try {
      put_in_place(impl_->working_path, impl_->final_path);
    } catch (const std::filesystem::filesystem_error& problem) {
      std::error_code ignored;
      std::filesystem::remove(impl_->working_path, ignored);
      forget_working(impl_->working_path);
      return fail(impl_->final_path.string(),
                  "cannot be put in place: " + problem.code().message());
    }
  }
  impl_->lock.reset();
  return {};
}

}  // namespace moundwork::session
