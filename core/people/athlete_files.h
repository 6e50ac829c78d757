// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <set>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/output/pseudonym.h"

/// What a lab's folder holds of one athlete, whether an index knows of it or not.
namespace moundwork::people {

enum class FileKind {
  session,    ///< with copies of it that a kill left
  companion,  ///< results and edits, also those set aside
  page,       ///< summaries
  trace,      ///< a throw's forces or recording, for other programs
  table,      ///< with rows of nobody else
  weigh_in,
  leftover,  ///< half written, or a note that a recording was under way
};
[[nodiscard]] const char* word_for(FileKind kind);  ///< "session", "companion", ...

/// What may lie beside a session file under its name, by what stands in place of its ".h5".
struct FileBeside {
  const char* ending;
  FileKind kind;
};
inline constexpr std::array<FileBeside, 4> files_beside_session{
    {{".results.hdf5", FileKind::companion},
     {".truth.json", FileKind::companion},
     {".summary.pdf", FileKind::page},
     {".summary.html", FileKind::page}}};
/// Whether the file, if it holds results or edits, says of itself that another session is theirs:
/// it is not this one's then, whatever its name.
[[nodiscard]] bool is_of_another(const std::filesystem::path& companion,
                                 const std::string& session_id);

struct AthleteFile {
  std::filesystem::path path;
  FileKind kind = FileKind::session;
  std::string session;  ///< identity, of a session that can be read
  std::uintmax_t bytes = 0;
};

struct AthleteFiles {
  /// In the order in which they are to go: a session after what is told by it to belong to it.
  std::vector<AthleteFile> files;
  /// Of several athletes: to be made again, or looked through by a person.
  std::vector<std::filesystem::path> shared;
  /// Sessions of somebody under another id who was recorded under this one, or has this name: a
  /// person must say.
  std::vector<std::filesystem::path> perhaps;
  bool on_roster = false;
};

/// Looks through the folder and all below it; links are not followed. `identity` as of
/// core/session/identity.h; `sessions` are identities of the athlete's sessions that are known
/// besides, there or gone. Fails in a sentence where the folder or its roster
/// cannot be read.
[[nodiscard]] Result<AthleteFiles> find_files_of(const std::filesystem::path& lab,
                                                 const std::string& identity,
                                                 const std::set<std::string>& sessions = {});

/// Deletes files that go together. A session among them is held meanwhile: one that records, or
/// another session that has come under its name, is left. Gives why not all went; empty when they
/// did. What went is added to `deleted`.
[[nodiscard]] std::string delete_files(const std::filesystem::path& session,
                                       const std::string& session_id,
                                       const std::vector<std::filesystem::path>& files,
                                       std::vector<std::string>& deleted);

/// Keeps the id from being given again; answers true.
[[nodiscard]] Result<bool> keep_id_from_others(const std::filesystem::path& lab,
                                               const std::string& identity);
/// Takes the athlete's row off the lab's roster, where it is on it, and keeps the id from being
/// given again. Gives whether there was a row.
[[nodiscard]] Result<bool> take_off_roster(const std::filesystem::path& lab,
                                           const std::string& identity);

}  // namespace moundwork::people
