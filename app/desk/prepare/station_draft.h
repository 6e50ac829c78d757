// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "core/base/result.h"
#include "drivers/station/station.h"

namespace moundwork::desk {

/// A station file while it is being written: the text, what it means as far as it can be read, and
/// whether the file on disk says the same.
class StationDraft {
 public:
  /// Takes the file's text; an absent file gives an empty draft.
  [[nodiscard]] Result<void> load(const std::filesystem::path& path);
  void set_text(std::string text);
  /// Writes the file in one go, so that it is whole whatever happens. A text that cannot be read as
  /// a station is not saved, nor one over a file that somebody else has changed.
  [[nodiscard]] Result<void> save();
  /// Whether the file is no longer as it was read or saved here: another window or an editor had
  /// it.
  [[nodiscard]] bool changed_by_others() const;
  /// Writes an unsaved text beside the station file, under another name, and returns that: for when
  /// another lab is opened over it.
  [[nodiscard]] Result<std::filesystem::path> put_aside() const;
  static constexpr const char* unsaved_name = "station.unsaved.toml";

  [[nodiscard]] const std::filesystem::path& path() const { return path_; }
  [[nodiscard]] const std::string& text() const { return text_; }
  [[nodiscard]] bool saved() const { return text_ == on_disk_; }
  [[nodiscard]] bool empty() const { return text_.empty(); }
  /// The last text that could be read; null before there was one.
  [[nodiscard]] const drivers::Station* station() const { return station_ ? &*station_ : nullptr; }
  /// What is wrong with the text now; nothing when it can be read.
  [[nodiscard]] const std::optional<Error>& fault() const { return fault_; }

 private:
  void read();
  std::filesystem::path path_;
  std::string text_, on_disk_;
  std::optional<drivers::Station> station_;
  std::optional<Error> fault_;
};

}  // namespace moundwork::desk
