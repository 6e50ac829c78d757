// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <vector>

#include "core/base/result.h"

namespace moundwork {

/// Several files that appear together or not at all: each is written under another name beside its
/// place and takes its own once all are whole. What never got there is removed at the end. Another
/// program that begins the same set meanwhile is refused.
class StagedFiles {
 public:
  /// `replace`: whether files that are there may be replaced.
  explicit StagedFiles(bool replace) : replace_(replace) {}
  StagedFiles(const StagedFiles&) = delete;
  StagedFiles& operator=(const StagedFiles&) = delete;
  ~StagedFiles();

  /// Where to write what shall become `target`; makes its folder. Fails where `target` is there
  /// and may not be replaced, or was added before.
  [[nodiscard]] Result<std::filesystem::path> add(const std::filesystem::path& target);
  [[nodiscard]] Result<void> put_in_place();

 private:
  struct Pair {
    std::filesystem::path working, target;
    bool placed = false;
  };
  [[nodiscard]] Result<void> lock(const std::filesystem::path& target);
  void release_lock();
  bool replace_ = false;
  int lock_ = -1;  // on a file of its own beside the first
  std::filesystem::path lock_path_;
  std::vector<Pair> files_;
  std::vector<std::filesystem::path> folders_made_;
};

}  // namespace moundwork
