// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <H5Cpp.h>

#include <string>
#include <string_view>

namespace moundwork::session::hdf5 {

/// A small HDF5 file that is made or changed in memory: our own code then writes the bytes to the
/// disk and sees each failure. The library, writing itself, keeps what a full disk did not take
/// until the process ends, tells nobody, and then crashes over it.
class MemoryFile {
 public:
  /// Opens a copy of these bytes, or where there are none a new file, in the format that keeps a
  /// checksum beside every description if `newest`; a new one as `made` asks. Throws H5::Exception.
  MemoryFile(std::string_view bytes, bool newest,
             const H5::FileCreatPropList& made = H5::FileCreatPropList::DEFAULT);
  MemoryFile(const MemoryFile&) = delete;
  MemoryFile& operator=(const MemoryFile&) = delete;
  ~MemoryFile() = default;

  [[nodiscard]] H5::H5File& file() { return file_; }
  /// What stands on the disk when these bytes do; whatever was opened in it must be closed.
  [[nodiscard]] std::string close();

 private:
  // What the library is given to find memory with.
  struct Ground;
  std::size_t size_ = 0;
  std::string closed_;
  H5::H5File file_;
};

}  // namespace moundwork::session::hdf5
