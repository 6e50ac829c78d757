// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/session/companion.h"
#include "core/session/hdf5.h"
#include "core/session/schema.h"

/// What a companion file holds, row by row; private to core/session. All need the library's lock,
/// and throw H5::Exception where the file is damaged.
namespace moundwork::session::companion {

/// One analysis with its part of each table.
struct Run {
  schema::RunRow row{};
  std::vector<unsigned char> settings;
  std::vector<schema::ThrowRow> throws;
  std::vector<schema::ValueRow> values;
  std::vector<schema::FlagRow> flags;
};

struct Content {
  std::int64_t version = schema::companion_version;
  std::optional<std::string> session_id;  ///< none in version 1, unless it was claimed since
  std::string athlete;                    ///< identity
  std::vector<Run> runs;
  std::vector<schema::EditRow> edits;  ///< as version 2 has them
};

/// Opened to be read, and known to be a companion of a version that this program reads.
[[nodiscard]] H5::H5File open(const std::filesystem::path& companion);

[[nodiscard]] std::optional<std::string> session_id_in(const H5::H5File& file);
[[nodiscard]] CompanionOwner owner_in(const H5::H5File& file);
[[nodiscard]] std::vector<schema::EditRow> edits_in(const H5::H5File& file);
/// None where no analysis was finished.
[[nodiscard]] std::optional<Run> last_run_in(const H5::H5File& file);
/// Whether the file is the session's by the identity it carries; the sentence says what to do where
/// it is another's, or carries none and that is `refused`.
[[nodiscard]] Result<void> belongs(const H5::H5File& file, const std::filesystem::path& companion,
                                   const std::string& session_id, Unidentified unidentified);

/// Identities that the session file at `path` carries, whatever else it holds.
[[nodiscard]] Result<CompanionOwner> owner_at(const std::filesystem::path& path);
[[nodiscard]] Result<std::string> session_id_of(const std::filesystem::path& path);

/// `wished`, or the first of "wished-2", "wished-3" that nothing has.
[[nodiscard]] std::filesystem::path free_name(const std::filesystem::path& wished);

[[nodiscard]] Failure failure(const std::filesystem::path& companion, const char* doing,
                              const H5::Exception& exception);

/// Puts a changed companion in place of the one beside a session (or the first one there) in one
/// step; nobody else changes it meanwhile. What `change` refuses changes nothing.
[[nodiscard]] Result<void> change(const std::filesystem::path& session,
                                  const std::function<Result<void>(Content&)>& change);

}  // namespace moundwork::session::companion
