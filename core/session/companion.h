// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "core/base/result.h"

namespace moundwork::session {

/// Results and edits stand beside the raw data in a companion file, SESSION.results.hdf5, which the
/// session file links to: the raw file is never opened for writing after capture, and the small
/// companion is replaced as a whole, so a kill at any moment leaves the old one or the new one. Its
/// ending differs so that `*.h5` names sessions alone. It carries its session's identity: file
/// names repeat from day to day.
[[nodiscard]] std::filesystem::path companion_path(const std::filesystem::path& session);

/// Folder in which a recording that is gone on with is first copied, under its own name since that
/// is what its links to the companion go by. A kill meanwhile leaves it.
[[nodiscard]] std::filesystem::path continue_folder(const std::filesystem::path& session);

/// Where the companion as it was is kept when it is written in a newer format; "-2" and so on
/// follow where that name is taken.
[[nodiscard]] std::filesystem::path kept_companion_path(const std::filesystem::path& session);

/// Whether the name is that of a companion which nothing reads any more: set aside, or kept from an
/// earlier version.
[[nodiscard]] bool is_retired_companion(const std::filesystem::path& file);

/// Whose a companion says that it is; empty where it does not say, or cannot be read.
struct CompanionOwner {
  std::string session_id;
  std::string athlete;  ///< identity (core/session/identity.h)
};
[[nodiscard]] CompanionOwner owner_of(const std::filesystem::path& companion);

/// Whose results lie beside a session. The first companions made do not say.
enum class Companion { none, own, unidentified };

/// Fails where it is another session's, cannot be read or is of another kind. `path` is the
/// session file's, here and below.
[[nodiscard]] Result<Companion> companion_of(const std::filesystem::path& path);

/// Whether to read an unidentified companion: only for who has seen, or sees to it, that its throws
/// are the session's (core/pitch/companion_check.h).
enum class Unidentified { refused, accepted };

/// Writes the session's identity into a companion that carries none.
[[nodiscard]] Result<void> claim_companion(const std::filesystem::path& path);

/// Gives the companion another name beside the session, under which nothing reads it, and returns
/// that.
[[nodiscard]] Result<std::filesystem::path> set_companion_aside(const std::filesystem::path& path);

/// For a session that has just been made: whatever lies under its companion's name is another's and
/// is set aside. Nothing where there is none.
[[nodiscard]] Result<std::optional<std::filesystem::path>> set_stranger_aside(
    const std::filesystem::path& path, const std::string& session_id);

/// "the results of another session that lay under this name are now X", for people.
[[nodiscard]] std::string set_aside_words(const std::filesystem::path& aside);

}  // namespace moundwork::session
