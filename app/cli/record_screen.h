// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <functional>
#include <mutex>
#include <nlohmann/json_fwd.hpp>
#include <string>
#include <string_view>

#include "core/session/kinds/list.h"
#include "drivers/recorder/capture.h"
#include "drivers/recorder/live_throws.h"

namespace moundwork::cli {

/// What `record` prints: one line at a time from both the main and the live thread. As JSON each is
/// an object on standard output; else events are sentences on standard error.
class RecordScreen {
 public:
  explicit RecordScreen(bool json);

  void event(const char* kind, const nlohmann::ordered_json& fields, const std::string& sentence);
  /// `table` is the throw as people read it.
  void throw_found(const drivers::LiveThrow& live, const std::string& table);
  /// Written over by whatever comes next; silent where standard error is no terminal.
  void status(const std::string& line);
  void end_status();

 private:
  void clear();

  bool json_, terminal_;
  bool shown_ = false;
  std::mutex mutex_;
};

/// Says once when a device's state changes.
class DeviceWatch {
 public:
  /// `kind` of an instrument that sends events; empty for one that samples.
  DeviceWatch(std::string name, const drivers::DeviceHealth& health, std::string_view kind = {});
  void look(RecordScreen& screen, const std::function<std::string()>& last_failure);
  [[nodiscard]] nlohmann::ordered_json counts() const;
  [[nodiscard]] std::string sentence() const;

 private:
  std::string name_;
  const drivers::DeviceHealth& health_;
  const session::EventTable* events_ = nullptr;
  drivers::LinkState seen_ = drivers::LinkState::closed;
  std::chrono::steady_clock::time_point made_ = std::chrono::steady_clock::now();
};

/// How far a recording is: its time, each device's rows or events, gaps.
[[nodiscard]] std::string status_line(const drivers::Capture& capture);

}  // namespace moundwork::cli
