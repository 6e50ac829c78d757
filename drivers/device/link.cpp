// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/device/link.h"

#include <array>
#include <condition_variable>

#include "drivers/device/urgent.h"

namespace moundwork::drivers {
namespace {

/// Sleeps for `time` unless a stop is asked for.
void rest(const std::stop_token& stop, std::chrono::milliseconds time) {
  std::mutex mutex;
  std::condition_variable_any condition;
  std::unique_lock lock(mutex);
  condition.wait_for(lock, stop, time, [] { return false; });
}

}  // namespace

std::string_view to_text(LinkState state) {
  switch (state) {
    case LinkState::closed:
      return "closed";
    case LinkState::opening:
      return "waiting for the device";
    case LinkState::streaming:
      return "streaming";
    case LinkState::silent:
      return "silent";
    case LinkState::lost:
      return "unplugged";
    case LinkState::finished:
      return "finished";
  }
  return "";
}

Link::Link(std::unique_ptr<Transport> transport, HostClock clock, LinkHandlers handlers,
           DeviceHealth& health, LinkSettings settings)
    : transport_(std::move(transport)),
      clock_(clock),
      handlers_(std::move(handlers)),
      health_(health),
      settings_(settings) {}

void Link::start() {
  thread_ = std::jthread([this](const std::stop_token& stop) { run(stop); });
}

void Link::stop() {
  if (!thread_.joinable()) return;
  thread_.request_stop();
  thread_.join();
}

std::string Link::last_failure() const {
  const std::lock_guard lock(failure_mutex_);
  return failure_;
}

void Link::note(const Error& error) {
  const std::lock_guard lock(failure_mutex_);
  failure_ = error.sentence();
}

void Link::run(const std::stop_token& stop) {
  // A file read as fast as it goes would keep a whole core from everybody else.
  if (transport_->live()) make_this_thread_urgent();
  while (!stop.stop_requested() && health_.state != LinkState::finished) {
    if (!open(stop)) break;
    stream(stop);
    transport_->close();
  }
  if (health_.state != LinkState::finished) health_.state = LinkState::closed;
}

bool Link::open(const std::stop_token& stop) {
  if (health_.state != LinkState::lost) health_.state = LinkState::opening;
  while (!stop.stop_requested()) {
    const auto opened = transport_->open();
    if (opened) return true;
    note(opened.error());
    rest(stop, settings_.retry);
  }
  return false;
}

void Link::stream(const std::stop_token& stop) {
  std::array<std::uint8_t, 65536> buffer;
  auto last_byte = std::chrono::steady_clock::now();
  while (!stop.stop_requested()) {
    const auto count = transport_->read(buffer, settings_.patience);
    const auto now = std::chrono::steady_clock::now();
    if (!count) {
      note(count.error());
      health_.state = LinkState::lost;
      ++health_.times_lost;
      handlers_.lost();
      // A port that opens and breaks at once must not spin.
      rest(stop, std::min(settings_.retry, std::chrono::milliseconds(20)));
      return;
    }
    if (*count > 0) {
      last_byte = now;
      health_.state = LinkState::streaming;
      health_.bytes += *count;
      handlers_.bytes(Bytes(buffer).first(*count), clock_.at(now));
    } else if (now - last_byte >= settings_.patience) {
      handlers_.quiet();
      if (now - last_byte >= settings_.silent_after) health_.state = LinkState::silent;
    }
    if (transport_->finished()) {
      health_.state = LinkState::finished;
      return;
    }
  }
}

}  // namespace moundwork::drivers
