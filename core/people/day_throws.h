// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/session/session.h"

namespace moundwork::people {

/// What an athlete threw on a day beside one session.
struct DayThrows {
  int sessions = 0;    ///< others of that day that were measured
  int throws = 0;      ///< found in them, whether they count or not: the arm threw them all
  int unmeasured = 0;  ///< others of that day that were not, so their throws are in no count
  int unreadable = 0;  ///< files beside that may be sessions of that day, and cannot be read
};

/// Everybody's throws by the sessions' own days (core/session/start.h), read once from files. What
/// is no session is left out; copies of a session count once. An id that differs by capitals or
/// blanks alone is the same athlete's, as are the same name and date of birth: a throw counted for
/// two is a day of rest, one counted for nobody is an arm's.
class ThrowsByDay {
 public:
  explicit ThrowsByDay(const std::vector<std::filesystem::path>& files);

  /// Of the athlete of a session, on that session's day.
  [[nodiscard]] DayThrows beside(const session::Session& session) const;

 private:
  struct Entry {
    std::string id, started, day;
    session::Athlete athlete;
    int throws = -1;  // not measured
  };
  std::vector<Entry> entries_;
  int unreadable_ = 0;
};

/// The session files of the lab that these lie in, each once; of files in no lab those of their
/// folders and some folders down.
[[nodiscard]] std::vector<std::filesystem::path> sessions_around(
    const std::vector<std::filesystem::path>& files);

}  // namespace moundwork::people
