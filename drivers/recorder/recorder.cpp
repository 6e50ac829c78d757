// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/recorder.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <system_error>
#include <utility>

#include "core/base/sentence.h"
#include "core/session/reader.h"
#include "drivers/device/urgent.h"
#include "drivers/recorder/lost_file.h"

namespace moundwork::drivers {

using std::chrono::steady_clock;

namespace {

// As it is now: the folder that it is named from may go.
std::filesystem::path whole_path(const std::filesystem::path& path) {
  std::error_code status;
  auto whole = std::filesystem::absolute(path, status);
  return status ? path : whole;
}

}  // namespace

Recorder::Recorder(session::Writer writer, std::filesystem::path path, session::Session session,
                   std::vector<SampledDevice*> devices, std::vector<RecordedEvents> events,
                   std::vector<std::int64_t> rows_so_far, RecorderSettings settings)
    : writer_(std::move(writer)),
      path_(path),
      first_path_(whole_path(path)),
      session_(std::move(session)),
      devices_(std::move(devices)),
      events_(std::move(events)),
      settings_(settings),
      room_(settings.warn_free_bytes),
      rows_(std::move(rows_so_far)),
      earlier_(rows_.size(), 0) {
  if (session_.devices.size() != devices_.size() || rows_.size() != devices_.size())
    throw std::invalid_argument("a recorder needs every device of its session");
  publish();
}

Result<void> Recorder::see_to_disk() {
  auto file = writer_.forced_file();
  if (!file) return tl::make_unexpected(file.error());
  forcer_ = std::make_unique<DiskForcer>(std::move(*file), settings_.force);
  return {};
}

Result<void> Recorder::start() {
  if (auto seen = see_to_disk(); !seen) return seen;
  thread_ = std::jthread([this](const std::stop_token& stop) { run(stop); });
  return {};
}

Result<void> Recorder::stop() {
  if (thread_.joinable()) {
    thread_.request_stop();
    thread_.join();
  }
  const RecorderState now = state();
  if (now.end == RecorderEnd::asked || now.end == RecorderEnd::running) return {};
  return fail("", now.message);
}

RecorderState Recorder::state() const {
  const std::lock_guard lock(state_mutex_);
  return state_;
}

void Recorder::run(const std::stop_token& stop) {
  make_this_thread_urgent();
  auto flushed = steady_clock::now();
  auto looked = flushed - std::chrono::hours(1);
  while (true) {
    const bool last = stop.stop_requested();
    auto written = write_waiting();
    const auto now = steady_clock::now();
    if (written && now - flushed >= settings_.flush) {
      written = writer_.flush();
      const auto after = steady_clock::now();
      const auto since = [&](steady_clock::time_point begin) {
        return std::chrono::duration<double>(after - begin).count();
      };
      longest_flush_ = std::max(longest_flush_, since(now));
      // A sample that came just after the last flush took its data has waited until now.
      longest_unsafe_ = std::max(longest_unsafe_, since(flushed));
      flushed = now;
      if (written) forcer_->written(writer_.rows(), now);
    }
    forcer_->look();
    const DiskForcer::State disk = forcer_->state();
    if (disk.failure) {
      finish(RecorderEnd::write_failed, not_forced(*disk.failure, disk.unforced));
      return;
    }
    // Before what writing says: what is wrong with it may be that the file is not there any more.
    if (disk.loss && !last) {
      written = {};
      if (const auto gone_on = go_on_beside(*disk.loss); !gone_on) {
        finish(RecorderEnd::write_failed, gone_on.error().sentence());
        return;
      }
    }
    if (!written) {
      finish(RecorderEnd::write_failed, not_written(written.error()));
      return;
    }
    publish();
    if (last) break;
    if (now - looked >= std::chrono::seconds(1)) {
      looked = now;
      if (!has_room()) return;
    }
    std::this_thread::sleep_for(settings_.poll);
  }
  finish(RecorderEnd::asked, "");
}

Result<void> Recorder::write_waiting() {
  for (std::size_t d = 0; d < devices_.size(); ++d) {
    BlockQueue& queue = devices_[d]->to_recorder();
    fullest_queue_ = std::max(fullest_queue_, static_cast<double>(queue.waiting()) /
                                                  static_cast<double>(queue.capacity()));
    // No more than was waiting now: a fast device must not keep the others waiting.
    for (std::size_t left = queue.waiting(); left > 0; --left) {
      Result<void> appended;
      queue.consume([&](const SampleBlock& block) { appended = append(d, block); });
      if (!appended) return appended;
    }
  }
  session::InstrumentEvent event;
  for (const RecordedEvents& events : events_)
    while (events.device->next(event)) {
      if (auto appended = writer_.append_event(events.source, event); !appended) return appended;
      ++readings_;
    }
  return {};
}

Result<void> Recorder::append(std::size_t device, const SampleBlock& block) {
  const session::Block row{rows_[device], block.ticks, block.arrival, block.missing_before};
  rows_[device] += block.rows;
  const int index = static_cast<int>(device);
  if (session_.devices[device].sample_type == session::SampleType::float64)
    return writer_.append(index, row, std::span<const double>(block.values));
  integers_.resize(block.values.size());
  std::transform(block.values.begin(), block.values.end(), integers_.begin(),
                 [](double value) { return static_cast<std::int32_t>(value); });
  return writer_.append(index, row, std::span<const std::int32_t>(integers_));
}

bool Recorder::has_room() {
  std::error_code status;
  const auto space = std::filesystem::space(first_path_.parent_path(), status);
  if (status) return true;  // the next write will tell
  if (space.available < settings_.least_free_bytes) {
    finish(RecorderEnd::disk_full,
           sentence("The disk is full: {room} MB are left. The recording has ended, and all that "
                    "{file} holds is safe; make room or take another disk, then go on in a new "
                    "file.",
                    "room"_is(space.available >> 20), "file"_is(path_.string())));
    return false;
  }
  room_words_ = room_.look(space.available);
  return true;
}

std::string Recorder::not_written(const Error& error) const {
  return fmt::format(
      "The recording has ended because the file could not be written: {} Everything until half a "
      "second before is kept in {}; make room or take another disk, then go on in a new file.",
      error.sentence(), path_.string());
}

std::string Recorder::not_forced(const Error& error, double unforced) const {
  return sentence(
      "The recording has ended because the disk reported a fault: {error} What came in the last "
      "{seconds} s before may not be in {file}; look at the disk, then go on in a new file on "
      "another one.",
      "error"_is(error.sentence()), "seconds"_is(static_cast<int>(std::ceil(unforced))),
      "file"_is(path_.string()));
}

Result<void> Recorder::close_safely() {
  forcer_->file_closes();
  if (auto closed = writer_.close(); !closed) return closed;
  forcer_->written(writer_.rows(), DiskForcer::Clock::now());
  return forcer_->finish();
}

// Of a file that was deleted or spoilt nothing can be kept; one that has merely another name is
// closed well.
void Recorder::let_go_of_file(session::FileLoss& loss) {
  forcer_->file_closes();
  if (loss == session::FileLoss::moved && !writer_.close()) loss = session::FileLoss::spoilt;
  if (loss == session::FileLoss::moved) {
    forcer_->written(writer_.rows(), DiskForcer::Clock::now());
    forcer_->finish_soon();
    for (std::size_t d = 0; d < rows_.size(); ++d) earlier_[d] += rows_[d];
  } else {
    writer_.abandon();
    forcer_->leave();
  }
  longest_unforced_ = std::max(longest_unforced_, forcer_->state().longest);
  leaving_.push_back(std::move(forcer_));
}

Result<void> Recorder::go_on_beside(session::FileLoss loss) {
  const dev_t disk = forcer_->device();
  let_go_of_file(loss);
  LostFile lost{loss, path_, {}, {}};
  auto next = session_beside(first_path_, file_number_, disk, session_);
  if (!next) return tl::make_unexpected(no_next_file(lost, next.error()));
  writer_ = std::move(next->writer);
  path_ = lost.goes_on_in = std::move(next->path);
  std::fill(rows_.begin(), rows_.end(), 0);
  lost.words = words_of(lost);
  if (settings_.went_on) settings_.went_on(lost);
  losses_.push_back(std::move(lost));
  return see_to_disk();
}

// What was done to the file by whoever does not open it (a system call can cut a file short by its
// name) is seen only by reading it.
std::optional<session::FileLoss> Recorder::loss_at_end() const {
  if (const auto loss = forcer_->state().loss) return loss;
  const auto reader = session::Reader::open(path_);
  const Result<bool> whole =
      reader ? reader->is_as_recorded() : tl::make_unexpected(reader.error());
  if (whole && *whole) return std::nullopt;
  return session::FileLoss::spoilt;
}

void Recorder::finish(RecorderEnd end, std::string message) {
  if (end != RecorderEnd::write_failed) {
    if (const auto closed = close_safely(); !closed) {
      end = RecorderEnd::write_failed;
      message = not_written(closed.error());
    } else if (const auto loss = loss_at_end()) {
      LostFile lost{*loss, path_, {}, {}};
      lost.words = words_of(lost);
      losses_.push_back(std::move(lost));
    }
  }
  if (end == RecorderEnd::write_failed) writer_.abandon();
  publish();
  forcer_.reset();
  leaving_.clear();
  const std::lock_guard lock(state_mutex_);
  state_.end = end;
  state_.message = std::move(message);
}

void Recorder::publish() {
  const DiskForcer::State disk = forcer_ ? forcer_->state() : DiskForcer::State{};
  // What the program itself had not handed over was not on the disk either.
  longest_unforced_ = std::max({longest_unforced_, disk.longest, longest_unsafe_});
  const std::string& delayed = delay_.look(disk.unforced, DiskForcer::Clock::now());
  const std::lock_guard lock(state_mutex_);
  state_.path = path_;
  state_.losses = losses_;
  state_.rows = earlier_;
  for (std::size_t d = 0; d < rows_.size(); ++d) state_.rows[d] += rows_[d];
  state_.readings = readings_;
  state_.longest_flush = longest_flush_;
  state_.longest_unsafe = longest_unsafe_;
  state_.longest_unforced = longest_unforced_;
  state_.fullest_queue = fullest_queue_;
  state_.message = delayed.empty() ? room_words_ : delayed;
}

}  // namespace moundwork::drivers
