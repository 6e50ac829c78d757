// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/recorder.h"

#include <fmt/format.h>

#include <algorithm>
#include <system_error>

#include "drivers/device/urgent.h"

namespace moundwork::drivers {

using std::chrono::steady_clock;

Recorder::Recorder(session::Writer writer, std::filesystem::path path,
                   std::vector<session::Device> described, std::vector<SampledDevice*> devices,
                   std::vector<RecordedEvents> events, std::vector<std::int64_t> rows_so_far,
                   RecorderSettings settings)
    : writer_(std::move(writer)),
      path_(std::move(path)),
      described_(std::move(described)),
      devices_(std::move(devices)),
      events_(std::move(events)),
      settings_(settings),
      room_(settings.warn_free_bytes),
      rows_(std::move(rows_so_far)) {
  if (described_.size() != devices_.size() || rows_.size() != devices_.size())
    throw std::invalid_argument("a recorder needs every device of its session");
  state_.rows = rows_;
}

void Recorder::start() {
  thread_ = std::jthread([this](const std::stop_token& stop) { run(stop); });
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
  if (described_[device].sample_type == session::SampleType::float64)
    return writer_.append(index, row, std::span<const double>(block.values));
  integers_.resize(block.values.size());
  std::transform(block.values.begin(), block.values.end(), integers_.begin(),
                 [](double value) { return static_cast<std::int32_t>(value); });
  return writer_.append(index, row, std::span<const std::int32_t>(integers_));
}

bool Recorder::has_room() {
  std::error_code status;
  const auto space = std::filesystem::space(std::filesystem::absolute(path_).parent_path(), status);
  if (status) return true;  // the next write will tell
  if (space.available < settings_.least_free_bytes) {
    finish(RecorderEnd::disk_full,
           fmt::format("The disk is full: {} MB are left. The recording has ended with everything "
                       "so far safe in {}; make room or take another disk, then go on in a new "
                       "file.",
                       space.available >> 20, path_.string()));
    return false;
  }
  const std::lock_guard lock(state_mutex_);
  state_.message = room_.look(space.available);
  return true;
}

std::string Recorder::not_written(const Error& error) const {
  return fmt::format(
      "The recording has ended because the file could not be written: {} Everything until half a "
      "second before is kept in {}; make room or take another disk, then go on in a new file.",
      error.sentence(), path_.string());
}

void Recorder::finish(RecorderEnd end, std::string message) {
  if (end != RecorderEnd::write_failed) {
    if (const auto closed = writer_.close(); !closed) {
      end = RecorderEnd::write_failed;
      message = not_written(closed.error());
    }
  }
  if (end == RecorderEnd::write_failed) writer_.abandon();
  publish();
  const std::lock_guard lock(state_mutex_);
  state_.end = end;
  state_.message = std::move(message);
}

void Recorder::publish() {
  const std::lock_guard lock(state_mutex_);
  state_.rows = rows_;
  state_.readings = readings_;
  state_.longest_flush = longest_flush_;
  state_.longest_unsafe = longest_unsafe_;
  state_.fullest_queue = fullest_queue_;
}

}  // namespace moundwork::drivers
