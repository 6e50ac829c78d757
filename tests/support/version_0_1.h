// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

namespace moundwork::support {

/// The sample recording with the companion that version 0.1 of the program made of it, in a test's
/// own folder: analysed, an event moved, tags, an exclusion taken back, undos and a redo, two
/// frames marked in each throw. `session` is the copy's path.
inline void copy_version_0_1(const std::filesystem::path& session) {
  namespace fs = std::filesystem;
  const fs::path source = fs::path(MOUNDWORK_DOCS).parent_path();
  fs::copy_file(source / "sample-data" / "two-pitches.h5", session);
  fs::path companion = session;
  companion.replace_extension(".results.hdf5");
  fs::copy_file(source / "tests" / "data" / "version-0.1" / "two-pitches.results.hdf5", companion);
}

inline std::string bytes_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

}  // namespace moundwork::support
