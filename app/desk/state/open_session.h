// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <filesystem>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/session/edit.h"
#include "core/session/results.h"
#include "core/session/session.h"

namespace moundwork::desk {

/// The session on the desk: what the file tells, its last analysis and its list of edits. Holds no
/// samples. Interface thread only.
class OpenSession {
 public:
  [[nodiscard]] static Result<std::unique_ptr<OpenSession>> open(const std::filesystem::path& path);

  [[nodiscard]] const std::filesystem::path& path() const { return path_; }
  /// With its facts as the edits have them.
  [[nodiscard]] const session::Session& session() const { return session_; }
  /// `made` is empty while the session has not been analysed, or its companion does not say that it
  /// is this session's: an analysis then looks.
  [[nodiscard]] const session::ResultSet& results() const { return results_; }
  /// The session's list as it will be when what is on its way to the disk has been written.
  [[nodiscard]] const std::vector<session::Edit>& edits() const { return edits_; }

  /// Nothing is on its way to the list: the disk has all that is here.
  [[nodiscard]] bool settled() const { return expected_.empty(); }
  /// An edit that is on its way to the list.
  void expect(session::Edit edit);
  /// It was written, as the one in this place of the list, from 0.
  [[nodiscard]] Result<void> take_written(const std::string& edit_id, std::size_t place);
  /// It could not be written.
  void give_up(const std::string& edit_id);
  /// Takes up what an analysis wrote, and what people changed elsewhere.
  [[nodiscard]] Result<void> reload();

 private:
  void set_edits(std::vector<session::Edit> edits);

  std::filesystem::path path_;
  session::Session recorded_, session_;
  session::ResultSet results_;
  std::vector<session::Edit> edits_;
  std::set<std::string> expected_;  // ids of those of edits_ that are on their way
};

}  // namespace moundwork::desk
