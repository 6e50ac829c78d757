// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "app/desk/state/lab_folder.h"
#include "app/desk/state/roster.h"
#include "core/base/measured.h"
#include "core/base/result.h"
#include "core/intake/facts.h"
#include "core/session/session.h"

namespace moundwork::desk {

/// What is known before a recording begins: a session's description is written when its file is
/// made and never changes.
struct RecordingOrder {
  LabFolder lab;
  RosterAthlete athlete;
  Measured mass;  ///< kg
  std::optional<session::FootLine> foot_line;
  session::Conditions air;  ///< of the day, as far as somebody said it
};

/// Takes mass and foot line from today's weigh-in, else the mass from the roster. Refuses in one
/// sentence without an athlete, a consent, a mass or a station file. `day` is an ISO 8601 date.
[[nodiscard]] Result<RecordingOrder> recording_order(const LabFolder& lab,
                                                     const RosterAthlete* athlete,
                                                     const std::string& day);

/// What the order tells about the recording.
[[nodiscard]] intake::Facts facts_of(const RecordingOrder& order);

/// Beside a session while it is recorded, so that what a crash cut off is found at the next start
/// without opening every session.
[[nodiscard]] std::filesystem::path recording_mark(const std::filesystem::path& session);
void set_recording_mark(const std::filesystem::path& session);
void clear_recording_mark(const std::filesystem::path& session) noexcept;

/// Sessions of the lab that were cut off and that no program is writing.
[[nodiscard]] std::vector<std::filesystem::path> unfinished_recordings(const LabFolder& lab);

}  // namespace moundwork::desk
