// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/companion.h"

#include <fmt/format.h>

#include <fstream>
#include <iterator>

#include "core/base/write_file.h"
#include "core/session/companion_content.h"
#include "core/session/file_lock.h"
#include "core/session/hdf5_lock.h"
#include "core/session/memory_file.h"

namespace moundwork::session {
namespace {

namespace fs = std::filesystem;

constexpr const char* companion_ending = ".results.hdf5";
constexpr const char* aside_ending = ".of-another-session";
constexpr const char* kept_ending = ".version-1";

// Needs the folder's lock.
Result<fs::path> give_other_name(const fs::path& companion) {
  const fs::path aside = companion::free_name(companion.string() + aside_ending);
  std::error_code status;
  fs::rename(companion, aside, status);
  if (status)
    return fail(companion.string(),
                "holds another session's results and cannot be set aside: " + status.message(),
                "give it another name");
  return aside;
}

}  // namespace

fs::path companion_path(const fs::path& session) {
  fs::path companion = session;
  companion.replace_extension(companion_ending);
  return companion;
}

fs::path continue_folder(const fs::path& session) {
  return session.parent_path() / ("." + session.filename().string() + ".continue");
}

fs::path kept_companion_path(const fs::path& session) {
  fs::path kept = companion_path(session);
  kept += kept_ending;
  return kept;
}

bool is_retired_companion(const fs::path& file) {
  const std::string name = file.filename().string();
  const auto has = [&](const char* ending) {
    return name.find(std::string(companion_ending) + ending) != std::string::npos;
  };
  return has(aside_ending) || has(kept_ending);
}

CompanionOwner owner_of(const fs::path& companion) {
  if (!hdf5::readable(companion)) return {};
  const auto held = hdf5::hold_library();
  try {
    return companion::owner_in(companion::open(companion));
  } catch (const H5::Exception&) {
    return {};
  }
}

Result<Companion> companion_of(const fs::path& path) {
  const fs::path companion = companion_path(path);
  if (!fs::exists(companion)) return Companion::none;
  if (auto can = hdf5::readable(companion); !can) return tl::make_unexpected(can.error());
  const auto session_id = companion::session_id_of(path);
  if (!session_id) return tl::make_unexpected(session_id.error());
  const auto held = hdf5::hold_library();
  try {
    const H5::H5File file = companion::open(companion);
    if (auto ours = companion::belongs(file, companion, *session_id, Unidentified::accepted); !ours)
      return tl::make_unexpected(ours.error());
    return companion::session_id_in(file) ? Companion::own : Companion::unidentified;
  } catch (const H5::Exception& exception) {
    return companion::failure(companion, "cannot be read", exception);
  }
}

Result<void> claim_companion(const fs::path& path) {
  auto lock = FolderLock::acquire(path.parent_path());
  if (!lock) return tl::make_unexpected(lock.error());
  const auto session_id = companion::session_id_of(path);
  if (!session_id) return tl::make_unexpected(session_id.error());
  const fs::path companion = companion_path(path);
  if (auto can = hdf5::readable(companion); !can) return can;
  std::ifstream in(companion, std::ios::binary);
  std::string bytes{std::istreambuf_iterator<char>(in), {}};
  if (!in) return fail(companion.string(), "cannot be read whole");
  {
    const auto held = hdf5::hold_library();
    try {
      // The rest stays as it is, so that the version that made it still reads it.
      hdf5::MemoryFile memory(bytes, false);
      {
        H5::Group root = memory.file().openGroup("/");
        if (root.attrExists("session_id")) {
          return companion::belongs(memory.file(), companion, *session_id, Unidentified::refused);
        }
        hdf5::write(root, "session_id", *session_id);
      }
      bytes = memory.close();
    } catch (const H5::Exception& exception) {
      return companion::failure(companion, "cannot be added to", exception);
    }
  }
  return replace_file(companion, bytes);
}

Result<fs::path> set_companion_aside(const fs::path& path) {
  auto lock = FolderLock::acquire(path.parent_path());
  if (!lock) return tl::make_unexpected(lock.error());
  return give_other_name(companion_path(path));
}

std::string set_aside_words(const fs::path& aside) {
  return fmt::format("the results of another session that lay under this name are now {aside}",
                     fmt::arg("aside", aside.filename().string()));
}

Result<std::optional<fs::path>> set_stranger_aside(const fs::path& path,
                                                   const std::string& session_id) {
  const fs::path companion = companion_path(path);
  if (!fs::exists(companion)) return std::nullopt;
  auto lock = FolderLock::acquire(path.parent_path());
  if (!lock) return tl::make_unexpected(lock.error());
  if (hdf5::readable(companion)) {
    const auto held = hdf5::hold_library();
    try {
      if (companion::session_id_in(companion::open(companion)) == session_id) return std::nullopt;
    } catch (const H5::Exception&) {
      // Of another kind, so not its own either.
    }
  }
  auto aside = give_other_name(companion);
  if (!aside) return tl::make_unexpected(aside.error());
  return std::optional(std::move(*aside));
}

}  // namespace moundwork::session
