// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/disk_forcer.h"

#include <algorithm>
#include <utility>

namespace moundwork::drivers {
DiskForcer::DiskForcer(session::ForcedFile file, std::chrono::milliseconds period)
    : period_(period),
      device_(file.device()),
      file_(std::move(file)),
      confirmed_until_(Clock::now()),
      thread_([this](const std::stop_token& stop) { run(stop); }) {}

void DiskForcer::written(const std::vector<std::int64_t>& rows, Clock::time_point when) {
  const std::lock_guard lock(mutex_);
  written_ = Written{rows, when};
}

void DiskForcer::file_closes() { closing_ = true; }

void DiskForcer::finish_soon() {
  {
    const std::lock_guard lock(mutex_);
    finishing_ = true;
  }
  thread_.request_stop();
}

void DiskForcer::leave() { thread_.request_stop(); }

Result<void> DiskForcer::finish() {
  finish_soon();
  if (thread_.joinable()) thread_.join();
  looked_ = {};
  look();
  const std::lock_guard lock(mutex_);
  if (state_.failure) return tl::make_unexpected(*state_.failure);
  return {};
}

DiskForcer::State DiskForcer::state() const {
  const std::lock_guard lock(mutex_);
  State now = state_;
  now.unforced = std::chrono::duration<double>(Clock::now() - confirmed_until_).count();
  now.longest = std::max(now.longest, now.unforced);
  return now;
}

void DiskForcer::run(const std::stop_token& stop) {
  auto next = Clock::now();
  while (true) {
    // Two steps: the first brings the rows to the disk and notes them, the second the note. Each
    // takes along what came meanwhile, so a slow disk is asked without a pause and answers for all.
    Result<void> forced = step();
    if (forced) forced = step();
    std::unique_lock lock(mutex_);
    if (!forced) {
      state_.failure = forced.error();
      return;
    }
    next = std::max(next + period_, Clock::now());
    woken_.wait_until(lock, stop, next, [] { return false; });
    if (!stop.stop_requested()) continue;
    if (!finishing_) return;
    lock.unlock();
    forced = step();
    if (forced) forced = step();
    lock.lock();
    if (!forced) state_.failure = forced.error();
    return;
  }
}

void DiskForcer::look() {
  constexpr std::chrono::milliseconds period{100};
  const auto now = Clock::now();
  if (now - looked_ < period) return;
  const std::unique_lock noting(note_mutex_, std::try_to_lock);
  if (!noting) return;
  looked_ = now;
  const auto loss = closing_ ? file_.loss_of_name() : file_.loss();
  const std::lock_guard lock(mutex_);
  if (loss && !state_.loss) state_.loss = loss;
}

Result<void> DiskForcer::step() {
  std::optional<Written> now;
  {
    const std::lock_guard lock(mutex_);
    now = written_;
  }
  if (auto forced = file_.force(); !forced) return forced;
  if (noted_) {
    const std::lock_guard lock(mutex_);
    const std::chrono::duration<double> waited = Clock::now() - confirmed_until_;
    state_.longest = std::max(state_.longest, waited.count());
    confirmed_until_ = std::max(confirmed_until_, noted_->when);
  }
  if (!now) return {};
  {
    const std::lock_guard noting(note_mutex_);
    if (auto noted = file_.note(now->rows); !noted) return noted;
  }
  noted_ = std::move(now);
  return {};
}

}  // namespace moundwork::drivers
