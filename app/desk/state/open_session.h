// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/session/results.h"
#include "core/session/session.h"

namespace moundwork::desk {

/// The session on the desk: what the file tells, its last analysis and its list of edits. Holds no
/// samples. Interface thread only.
class OpenSession {
 public:
  [[nodiscard]] static Result<std::unique_ptr<OpenSession>> open(const std::filesystem::path& path);

  [[nodiscard]] const std::filesystem::path& path() const { return path_; }
  [[nodiscard]] const session::Session& session() const { return session_; }
  /// `made` is empty while the session has not been analysed.
  [[nodiscard]] const session::ResultSet& results() const { return results_; }
  [[nodiscard]] const std::vector<session::Edit>& edits() const { return edits_; }

  /// The only way by which the window changes a session: appended to its edit list, with the time
  /// of now.
  [[nodiscard]] Result<void> add_edit(session::Edit edit);
  /// An edit that was appended to this session's list apart from the interface thread.
  void take_written(session::Edit edit) { edits_.push_back(std::move(edit)); }
  /// Takes up what an analysis wrote.
  [[nodiscard]] Result<void> reload();

 private:
  std::filesystem::path path_;
  session::Session session_;
  session::ResultSet results_;
  std::vector<session::Edit> edits_;
};

/// Wall time in ISO 8601, UTC, to the millisecond.
[[nodiscard]] std::string iso_now();

}  // namespace moundwork::desk
