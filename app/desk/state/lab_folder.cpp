// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/lab_folder.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <system_error>

#include "core/base/time_zone.h"
#include "core/session/reader.h"
#include "core/session/start.h"

namespace moundwork::desk {
namespace {

SessionEntry entry_of(const std::filesystem::path& path) {
  SessionEntry entry;
  entry.path = path;
  const auto reader = session::Reader::open(path);
  if (!reader) {
    entry.problem = reader.error().sentence();
    return entry;
  }
  entry.id = reader->session().id;
  entry.started = reader->session().started;
  entry.day = session::day_of(reader->session());
  entry.athlete_id = reader->session().athlete.id;
  entry.athlete_name = reader->session().athlete.name;
  return entry;
}

}  // namespace

std::string zone_of(const LabFolder& lab) { return lab.zone.empty() ? computer_zone() : lab.zone; }

std::string today(const LabFolder& lab) { return day_in(wall_now(), zone_of(lab)); }

bool is_practice(const std::filesystem::path& root) {
  return root.filename().string().ends_with(practice_ending);
}

bool is_practice_session(const std::filesystem::path& session) {
  const auto folder = session.parent_path();
  return is_practice(folder) || is_practice(folder.parent_path());
}

Result<safety::PitchCountTable> pitch_counts_of(const LabFolder& lab) {
  std::error_code status;
  if (!std::filesystem::exists(lab.pitch_counts(), status)) return safety::common_pitch_counts();
  return safety::read_pitch_counts(lab.pitch_counts());
}

std::vector<SessionEntry> list_sessions(const LabFolder& lab) {
  std::vector<SessionEntry> found;
  for (const auto& folder : {lab.root, lab.sessions()}) {
    std::error_code error;
    for (const auto& file : std::filesystem::directory_iterator(folder, error))
      if (file.path().extension() == ".h5") found.push_back(entry_of(file.path()));
  }
  std::sort(found.begin(), found.end(), [](const SessionEntry& a, const SessionEntry& b) {
    return std::tie(b.started, a.path) < std::tie(a.started, b.path);
  });
  return found;
}

std::size_t count_session_files(const LabFolder& lab) {
  std::size_t count = 0;
  for (const auto& folder : {lab.root, lab.sessions()}) {
    std::error_code error;
    for (const auto& file : std::filesystem::directory_iterator(folder, error))
      if (file.path().extension() == ".h5") ++count;
  }
  return count;
}

std::filesystem::path new_session_path(const LabFolder& lab, const std::string& athlete_id,
                                       const std::string& day) {
  // Identities are free text; a file name is not.
  std::string safe;
  for (const char c : athlete_id)
    safe += std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '-' ? c : '_';
  if (safe.empty()) safe = "athlete";
  for (int n = 1;; ++n) {
    auto path = lab.sessions() / fmt::format("{}-{}-{}.h5", day, safe, n);
    if (std::error_code error; !std::filesystem::exists(path, error)) return path;
  }
}

}  // namespace moundwork::desk
