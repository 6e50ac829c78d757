// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/safety/pitch_count.h"

namespace moundwork::desk {

/// Where the lab keeps its files: lab.toml, roster.csv, station.toml, air.toml, pitch-counts.toml,
/// sessions/, summaries/, checks/, weigh-ins/.
struct LabFolder {
  std::filesystem::path root;
  std::string zone = {};  ///< IANA name, the lab's setting; empty: this computer's
  [[nodiscard]] std::filesystem::path roster() const { return root / "roster.csv"; }
  [[nodiscard]] std::filesystem::path station() const { return root / "station.toml"; }
  [[nodiscard]] std::filesystem::path pitch_counts() const { return root / "pitch-counts.toml"; }
  [[nodiscard]] std::filesystem::path sessions() const { return root / "sessions"; }
  [[nodiscard]] std::filesystem::path summaries() const { return root / "summaries"; }
  [[nodiscard]] std::filesystem::path checks() const { return root / "checks"; }
};

[[nodiscard]] std::string zone_of(const LabFolder& lab);
/// The day by the lab's clock, 2026-07-04: weigh-ins, air, consent, ages and files go by it.
[[nodiscard]] std::string today(const LabFolder& lab);

/// What a practice folder's name ends in: it lies beside the lab's, and what is in it is invented.
inline constexpr const char* practice_ending = " practice";
[[nodiscard]] bool is_practice(const std::filesystem::path& root);
/// Whether a session file lies in a practice folder.
[[nodiscard]] bool is_practice_session(const std::filesystem::path& session);

/// One session file of the lab, as its header tells.
struct SessionEntry {
  std::filesystem::path path;
  std::string id, started, athlete_id, athlete_name;
  std::string day;      ///< 2026-07-04, in the session's own zone
  std::string problem;  ///< why it could not be read; empty when it could
};

/// Sessions under the folder (and directly in it), newest first. Reads headers only.
[[nodiscard]] std::vector<SessionEntry> list_sessions(const LabFolder& lab);
/// How many session files the lab's folder holds; opens none.
[[nodiscard]] std::size_t count_session_files(const LabFolder& lab);
/// The lab's own limits by age where its folder holds some, else the common ones.
[[nodiscard]] Result<safety::PitchCountTable> pitch_counts_of(const LabFolder& lab);
/// A name for a new session file that is not taken: DAY-ATHLETE-N.h5.
[[nodiscard]] std::filesystem::path new_session_path(const LabFolder& lab,
                                                     const std::string& athlete_id,
                                                     const std::string& day);

}  // namespace moundwork::desk
