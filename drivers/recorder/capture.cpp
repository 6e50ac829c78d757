// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/capture.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <stdexcept>

#include "core/base/lab_file.h"
#include "core/base/sharing.h"
#include "core/base/uuid.h"
#include "core/base/wall_time.h"
#include "core/base/write_file.h"
#include "core/session/file_lock.h"
#include "core/session/kinds/list.h"
#include "core/session/reader.h"
#include "core/session/results.h"
#include "core/session/start.h"

namespace moundwork::drivers {
namespace {

namespace fs = std::filesystem;

template <class Scalar>
Result<void> copy_block(const session::Reader& from, session::Writer& to, int device,
                        const session::Block& block, std::int64_t end) {
  session::RawTable<Scalar> rows;
  if (auto read = from.read(device, block.first_sample, end - block.first_sample, rows); !read)
    return read;
  return to.append(device, block,
                   std::span<const Scalar>(rows.data(), static_cast<std::size_t>(rows.size())));
}

/// Where a device's recording broke off.
Capture::Tail tail_of(const session::Device& device, const std::vector<session::Block>& blocks,
                      std::int64_t rows) {
  Capture::Tail tail{rows, std::nullopt, {}};
  if (blocks.empty() || rows == 0) return tail;
  const session::Block& last = blocks.back();
  const double ticks =
      static_cast<double>(rows - last.first_sample) * device.tick_rate / device.sample_rate;
  tail.next = DeviceTicks{static_cast<std::int64_t>(last.ticks) + std::llround(ticks)};
  tail.last_arrival = last.arrival;
  return tail;
}

Result<std::vector<Capture::Tail>> copy(const session::Reader& from, session::Writer& to) {
  std::vector<Capture::Tail> tails;
  for (std::size_t d = 0; d < from.session().devices.size(); ++d) {
    const int device = static_cast<int>(d);
    const std::int64_t count = from.sample_count(device);
    const auto blocks = from.blocks(device);
    if (!blocks) return tl::make_unexpected(blocks.error());
    for (std::size_t i = 0; i < blocks->size(); ++i) {
      const session::Block& block = (*blocks)[i];
      const std::int64_t end = i + 1 < blocks->size() ? (*blocks)[i + 1].first_sample : count;
      if (end == block.first_sample) continue;  // its samples were not written any more
      const bool decimal = from.session().devices[d].sample_type == session::SampleType::float64;
      const auto copied = decimal ? copy_block<double>(from, to, device, block, end)
                                  : copy_block<std::int32_t>(from, to, device, block, end);
      if (!copied) return tl::make_unexpected(copied.error());
    }
    tails.push_back(tail_of(from.session().devices[d], *blocks, count));
  }
  const auto sources = session::event_sources(from.session());
  for (std::size_t i = 0; i < sources.size(); ++i) {
    const auto events = from.events(*sources[i].kind, sources[i].name);
    if (!events) return tl::make_unexpected(events.error());
    for (const session::InstrumentEvent& event : *events)
      if (auto copied = to.append_event(i, event); !copied)
        return tl::make_unexpected(copied.error());
  }
  return tails;
}

/// Has the disk take what was copied and the file say so, before it takes the place of the one that
/// says so of the same rows.
Result<void> count_as_safe(session::Writer& copy) {
  if (auto flushed = copy.flush(); !flushed) return flushed;
  auto file = copy.forced_file();
  if (!file) return tl::make_unexpected(file.error());
  if (auto forced = file->force(); !forced) return forced;
  return file->note(copy.rows());
}

/// Session time of the last thing that came in.
Result<SessionTime> last_arrival(const session::Reader& reader) {
  SessionTime last{};
  for (std::size_t d = 0; d < reader.session().devices.size(); ++d) {
    const auto blocks = reader.blocks(static_cast<int>(d));
    if (!blocks) return tl::make_unexpected(blocks.error());
    if (!blocks->empty()) last = std::max(last, blocks->back().arrival);
  }
  for (const session::EventSource& source : session::event_sources(reader.session())) {
    const auto events = reader.events(*source.kind, source.name);
    if (!events) return tl::make_unexpected(events.error());
    if (!events->empty()) last = std::max(last, events->back().arrival);
  }
  return last;
}

/// The devices of a session that is gone on with must be those of the station, which must have no
/// other instrument: it would have no table in the file.
Result<void> same_devices(const session::Session& session, const Station& station,
                          const fs::path& path) {
  const auto& now = station.session.devices;
  const auto sources = session::event_sources(session);
  const bool all_have_tables =
      std::all_of(station.events.begin(), station.events.end(), [&](const EventPort& port) {
        return std::any_of(sources.begin(), sources.end(), [&](const session::EventSource& one) {
          return one.kind->key == port.kind && one.name == port.name;
        });
      });
  const bool same =
      all_have_tables &&
      std::equal(session.devices.begin(), session.devices.end(), now.begin(), now.end(),
                 [](const session::Device& a, const session::Device& b) {
                   return a.name == b.name && a.sample_type == b.sample_type &&
                          a.sample_rate == b.sample_rate && a.tick_rate == b.tick_rate &&
                          std::equal(a.channels.begin(), a.channels.end(), b.channels.begin(),
                                     b.channels.end(), [](const auto& x, const auto& y) {
                                       return x.name == y.name && x.unit == y.unit &&
                                              x.scale == y.scale && x.offset == y.offset;
                                     });
                 });
  if (same) return {};
  return fail(path.string(), "was recorded with other devices or calibrations than the station has",
              "begin a new session");
}

}  // namespace

Capture::~Capture() { (void)end(); }

Result<std::unique_ptr<Capture>> Capture::begin(const Station& station, session::Session session,
                                                const fs::path& path, CaptureSettings settings) {
  std::error_code status;
  if (fs::exists(path, status))
    return fail(path.string(), "is there already", Remedy::another_file_or_continue);
  if (session.devices.size() != station.session.devices.size())
    throw std::logic_error("a recording's session must be made of its station's");
  session.id = new_uuid();
  session.origin = "recording at " + station.name;
  const HostClock clock(std::chrono::steady_clock::now(), station.pace);
  if (session.zone.name.empty()) {
    auto zone = zone_for(path);
    if (!zone) return tl::make_unexpected(zone.error());
    session.zone.name = std::move(*zone);
  }
  session::set_start(session, wall_now(), session.zone.name);
  auto writer = session::Writer::create(path, session, {0, false});
  if (!writer) return tl::make_unexpected(writer.error());
  std::vector<Tail> tails(session.devices.size());
  std::unique_ptr<Capture> capture(new Capture(std::move(session), clock));
  if (auto started = capture->start(station, std::move(*writer), path, tails, settings); !started)
    return tl::make_unexpected(started.error());
  return capture;
}

Result<std::unique_ptr<Capture>> Capture::resume(const Station& station, const fs::path& path,
                                                 CaptureSettings settings) {
  // Whoever still records into the file would go on in one that has no name any more. Held until
  // the copy, which has a lock of its own, has taken the name.
  std::error_code status;
  std::optional<session::FileLock> lock;
  if (fs::is_regular_file(path, status)) {
    auto locked = session::FileLock::acquire(path);
    if (!locked) return tl::make_unexpected(locked.error());
    lock.emplace(std::move(*locked));
  }
  auto reader = session::Reader::open(path);
  if (!reader) return tl::make_unexpected(reader.error());
  const session::Session session = reader->as_recorded();
  if (auto same = same_devices(session, station, path); !same)
    return tl::make_unexpected(same.error());
  const auto started = from_iso_text(session.started);
  if (!started)
    return fail(path.string(), "does not say when it was started, so no time can follow on",
                "begin a new session");
  // The host's clock may have begun anew since; the wall's has not.
  const auto elapsed = wall_now() - *started;
  const HostClock clock(std::chrono::steady_clock::now() - elapsed, station.pace);
  const auto last = last_arrival(*reader);
  if (!last) return tl::make_unexpected(last.error());
  // What comes now would be put before what is there, and its clocks' fits would be wrong.
  if (clock.now() < *last)
    return fail(path.string(), "was recorded later than it is now by this computer's clock",
                "set the clock, or begin a new session");

  const fs::path folder = session::continue_folder(path);
  const fs::path copied = folder / path.filename();
  (void)make_folders(folder, status);
  if (status) return fail(folder.string(), "cannot be made (" + status.message() + ")");
  const auto remove_folder = [&] {
    std::error_code ignored;
    fs::remove_all(folder, ignored);
  };
  auto writer = session::Writer::create(copied, session, {0, false});
  if (!writer) {
    remove_folder();
    return tl::make_unexpected(writer.error());
  }
  auto tails = copy(*reader, *writer);
  if (tails) {
    if (const auto safe = count_as_safe(*writer); !safe) tails = tl::make_unexpected(safe.error());
  }
  if (tails) {
    try {
      put_in_place(copied, path);
      writer->renamed_to(path);
    } catch (const fs::filesystem_error& problem) {
      tails = fail(path.string(), "cannot be put in place (" + problem.code().message() + ")");
    }
  }
  remove_folder();
  if (!tails) return tl::make_unexpected(tails.error());
  std::unique_ptr<Capture> capture(new Capture(session, clock));
  if (auto begun = capture->start(station, std::move(*writer), path, *tails, settings); !begun)
    return tl::make_unexpected(begun.error());
  return capture;
}

Result<void> Capture::start(const Station& station, session::Writer writer, const fs::path& path,
                            const std::vector<Tail>& tails, const CaptureSettings& settings) {
  std::vector<std::int64_t> rows;
  std::vector<SampledDevice*> devices;
  for (std::size_t i = 0; i < session_.devices.size(); ++i) {
    const session::Device& device = session_.devices[i];
    auto codec = make_codec(station.devices[i].format, static_cast<int>(device.channels.size()));
    const AssemblerSettings assembler = assembler_settings(device, *codec);
    devices_.push_back(std::make_unique<SampledDevice>(
        device.name, make_transport(station.devices[i].port), std::move(codec), assembler, clock_,
        settings.queues, settings.link));
    devices.push_back(devices_.back().get());
    rows.push_back(tails[i].rows);
    if (tails[i].next) devices_.back()->follow_on(*tails[i].next, tails[i].last_arrival);
  }
  const auto sources = session::event_sources(session_);
  for (std::size_t i = 0; i < sources.size(); ++i) {
    const EventPort* port = event_port(station, sources[i].kind->key, sources[i].name);
    if (port == nullptr) continue;
    event_devices_.push_back(
        std::make_unique<EventDevice>(port->kind, port->name, make_transport(port->port),
                                      port->make_codec(), clock_, settings.link));
    events_.push_back({i, event_devices_.back().get()});
  }
  aside_ = writer.set_aside();
  recorder_ = std::make_unique<Recorder>(std::move(writer), path, session_, std::move(devices),
                                         events_, std::move(rows), settings.recorder);
  if (auto recording = recorder_->start(); !recording) return recording;
  for (const auto& device : devices_) device->start();
  for (const auto& device : event_devices_) device->start();
  return {};
}

Result<void> Capture::end() {
  for (const auto& device : devices_) device->stop();
  for (const auto& device : event_devices_) device->stop();
  return recorder_ ? recorder_->stop() : Result<void>{};
}

bool Capture::finished() const {
  const auto is_finished = [](const auto& device) {
    return device->health().state == LinkState::finished;
  };
  return std::all_of(devices_.begin(), devices_.end(), is_finished) &&
         std::all_of(event_devices_.begin(), event_devices_.end(), is_finished);
}

}  // namespace moundwork::drivers
