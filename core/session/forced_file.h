// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <sys/types.h>

#include <cstdint>
#include <filesystem>
#include <optional>
#include <span>
#include <vector>

#include "core/base/result.h"

namespace moundwork::session {

/// What happened to a recording's file behind its back.
enum class FileLoss {
  deleted,  ///< it has no name any more: what it holds goes when the recording ends
  moved,    ///< its name is gone or another file's; it is whole where it is now
  spoilt    ///< it is shorter than what was written to it, or another program wrote in it
};

/// The file of a recording as the disk knows it: forces it there, and notes what is there. It goes
/// past the HDF5 library, so that waiting for the disk holds up nobody who reads or writes. For one
/// thread at a time, any.
class ForcedFile {
 public:
  /// Of the file that `descriptor` has open, which stays the caller's, and whose name is `path`.
  /// `place` of its record in it (on_disk.h), which counts `tables` tables.
  [[nodiscard]] static Result<ForcedFile> open(int descriptor, const std::filesystem::path& path,
                                               std::uint64_t place, std::size_t tables);
  ForcedFile(ForcedFile&& other) noexcept;
  ForcedFile& operator=(ForcedFile&&) = delete;
  ~ForcedFile();

  /// Waits until the disk has all that was written so far. What a disk keeps in a memory of its own
  /// and reports as written is beyond any program.
  [[nodiscard]] Result<void> force();
  /// Notes these rows of each table, which the disk has confirmed; the next force() makes the note
  /// itself safe.
  [[nodiscard]] Result<void> note(std::span<const std::int64_t> rows);

  /// Nothing while the file is what was written, at the name it was given. Not for one that is
  /// being closed, which makes it longer and shorter.
  [[nodiscard]] std::optional<FileLoss> loss();
  /// Nothing while the file has the name it was given.
  [[nodiscard]] std::optional<FileLoss> loss_of_name() const;
  /// Of the file system it lies on.
  [[nodiscard]] dev_t device() const { return device_; }

 private:
  ForcedFile(int descriptor, dev_t device, std::filesystem::path path, std::uint64_t place,
             std::size_t tables);
  [[nodiscard]] bool another_wrote() const;
  [[nodiscard]] Failure failure(const char* doing, int error) const;

  int descriptor_ = -1, watch_ = -1;
  dev_t device_ = 0;
  std::filesystem::path path_;
  std::uint64_t place_ = 0, half_bytes_ = 0;
  std::int64_t notes_ = 0;
  std::vector<std::int64_t> noted_;  // the half last written
  std::int64_t greatest_size_ = 0;   // bytes
};

}  // namespace moundwork::session
