// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/record_screen.h"

#include <fmt/format.h>
#include <unistd.h>

#include <cstdio>
#include <iostream>
#include <nlohmann/json.hpp>
#include <utility>

#include "app/cli/json_text.h"
#include "app/cli/throw_json.h"
#include "core/base/sentence.h"

namespace moundwork::cli {

using drivers::DeviceHealth;
using drivers::LinkState;
using nlohmann::ordered_json;

namespace {

constexpr std::chrono::seconds longest_quiet{2};

}  // namespace

RecordScreen::RecordScreen(bool json) : json_(json), terminal_(isatty(STDERR_FILENO) == 1) {}

void RecordScreen::event(const char* kind, const ordered_json& fields,
                         const std::string& sentence) {
  const std::lock_guard lock(mutex_);
  clear();
  if (json_) {
    ordered_json line{{"event", kind}};
    line.update(fields);
    std::cout << json_text(line, JsonForm::line) << std::endl;
  } else {
    std::cerr << sentence << std::endl;
  }
}

void RecordScreen::throw_found(const drivers::LiveThrow& live, const std::string& table) {
  const std::lock_guard lock(mutex_);
  clear();
  if (!json_) {
    std::cout << table << std::flush;
    return;
  }
  ordered_json line{{"event", "throw"}, {"number", live.thrown.number}, {"delay_s", live.delay}};
  line.update(throw_json(live.thrown, false));
  std::cout << json_text(line, JsonForm::line) << std::endl;
}

void RecordScreen::status(const std::string& line) {
  if (!terminal_) return;
  const std::lock_guard lock(mutex_);
  std::fputs(("\r" + line + "\033[K").c_str(), stderr);
  std::fflush(stderr);
  shown_ = true;
}

void RecordScreen::end_status() {
  const std::lock_guard lock(mutex_);
  clear();
}

void RecordScreen::clear() {
  if (shown_) std::fputs("\r\033[K", stderr);
  shown_ = false;
}

DeviceWatch::DeviceWatch(std::string name, const DeviceHealth& health, std::string_view kind)
    : name_(std::move(name)), health_(health) {
  if (!kind.empty()) events_ = &*session::kind_of(kind)->events;
}

void DeviceWatch::look(RecordScreen& screen, const std::function<std::string()>& last_failure) {
  LinkState now = health_.state;
  // What sends events has nothing to say between throws.
  if (events_ && now == LinkState::silent) now = LinkState::streaming;
  // A port that opens at the first attempt needs no word about it.
  const bool waiting = now == LinkState::opening;
  if (now == seen_ || (waiting && std::chrono::steady_clock::now() - made_ < longest_quiet)) return;
  seen_ = now;
  const std::string state(drivers::to_text(now));
  std::string sentence = name_ + ": " + state;
  if (now == LinkState::lost || waiting) sentence += " (" + last_failure() + ")";
  screen.event("device", {{"device", name_}, {"state", state}}, sentence);
}

ordered_json DeviceWatch::counts() const {
  return {{"device", name_},
          {"rows", health_.rows.load()},
          {"gaps", health_.gaps.load()},
          {"missing_rows", health_.missing_rows.load()},
          {"refused_rows", health_.refused_rows.load()},
          {"frames", health_.accepted.load()},
          {"bad_checksum", health_.bad_checksum.load()},
          {"malformed", health_.malformed.load()},
          {"resets", health_.resets.load()},
          {"times_lost", health_.times_lost.load()}};
}

std::string DeviceWatch::sentence() const {
  if (events_ != nullptr)
    return moundwork::sentence("{name}: {events}: {count}, other lines: {others}", "name"_is(name_),
                               "events"_is(events_->word), "count"_is(health_.accepted.load()),
                               "others"_is(health_.malformed.load()));
  if (health_.resets > 0)
    return fmt::format(
        "{}: {} samples, {} lost in {} gaps, and its counter began anew {} times, where what was "
        "lost can only be estimated ({} frames with a bad checksum, {} malformed)",
        name_, health_.rows.load(), health_.missing_rows.load(), health_.gaps.load(),
        health_.resets.load(), health_.bad_checksum.load(), health_.malformed.load());
  return fmt::format(
      "{}: {} samples, {} lost in {} gaps ({} frames with a bad checksum, {} malformed)", name_,
      health_.rows.load(), health_.missing_rows.load(), health_.gaps.load(),
      health_.bad_checksum.load(), health_.malformed.load());
}

std::string status_line(const drivers::Capture& capture) {
  std::int64_t gaps = 0;
  std::string line = fmt::format("{:.0f} s", seconds(capture.now()));
  for (const auto& device : capture.devices()) {
    line += fmt::format("  {} {}", device->name(), device->health().rows.load());
    gaps += device->health().gaps;
  }
  line += fmt::format("  gaps {}", gaps);
  for (const drivers::RecordedEvents& events : capture.events())
    line += fmt::format("  {} {}", events.device->name(), events.device->health().accepted.load());
  return line;
}

}  // namespace moundwork::cli
