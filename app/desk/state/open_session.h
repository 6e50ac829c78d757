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
  /// The session's list as it will be when what is on its way to the disk has been written.
  [[nodiscard]] const std::vector<session::Edit>& edits() const { return edits_; }

  /// An edit that is on its way to the list; returns the row it should get there.
  std::size_t expect(session::Edit edit);
  /// An expected edit was written to `row`.
  [[nodiscard]] Result<void> take_written(std::size_t row, const session::Edit& edit);
  /// The oldest expected edit could not be written.
  void give_up_oldest();
  /// Takes up what an analysis wrote.
  [[nodiscard]] Result<void> reload();

 private:
  std::filesystem::path path_;
  session::Session session_;
  session::ResultSet results_;
  std::vector<session::Edit> edits_;
  std::size_t written_ = 0;  // so many of edits_ are known to be in the list
};

/// Wall time in ISO 8601, UTC, to the millisecond.
[[nodiscard]] std::string iso_now();

}  // namespace moundwork::desk
