// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stdlib.h>

#include <optional>
#include <string>

namespace moundwork::support {

/// This computer stands in another time zone while the object lives. Before threads are started.
class TimeZone {
 public:
  explicit TimeZone(const char* name) {
    if (const char* before = getenv("TZ")) before_ = before;
    setenv("TZ", name, 1);
  }
  TimeZone(const TimeZone&) = delete;
  TimeZone& operator=(const TimeZone&) = delete;
  ~TimeZone() {
    if (before_)
      setenv("TZ", before_->c_str(), 1);
    else
      unsetenv("TZ");
  }

 private:
  std::optional<std::string> before_;
};

}  // namespace moundwork::support
