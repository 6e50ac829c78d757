// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/base/progress.h"
#include "core/base/result.h"
#include "core/output/pseudonym.h"

namespace moundwork::output {

/// What of which sessions is to leave the lab, and to where.
struct Wanted {
  std::vector<std::filesystem::path> sessions;  ///< companions among them are passed over
  /// A folder, which may not be there yet; or, for HDF5 tables alone, a file that ends in .hdf5.
  std::filesystem::path out;
  bool csv = false, hdf5 = false, c3d = false, traces = false;
  std::optional<LabKey> key;  ///< codes stand for people where there is one
  bool replace = false;       ///< files that are there
};

struct WrittenFile {
  std::filesystem::path path;
  std::string kind;  ///< "table", "recording" or "trace"
  std::vector<std::string>
      athletes;  ///< whom it is about: ids, names where there is none; no codes
};

struct Written {
  std::vector<WrittenFile> files;
  std::size_t sessions = 0, throws = 0, excluded = 0;
};

/// Writes all or, on failure or when stopped, nothing. In a folder: sessions.csv, throws.csv,
/// values.csv, flags.csv and definitions.csv; tables.hdf5; c3d/SESSION_throw-NN.c3d;
/// traces/SESSION_throw-NN_back.csv and _lead.csv with definitions.csv beside them. Sessions come
/// in order of their start.
[[nodiscard]] Result<Written> write_all(const Wanted& wanted, const Progress& progress = {});

}  // namespace moundwork::output
