// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <set>
#include <span>
#include <string>

#include "core/base/result.h"
#include "core/output/table.h"

namespace moundwork::output {

/// Tables in one HDF5 file: a group a table, in it a dataset a column with the attributes `unit`
/// and `definition`; the group's attribute `columns` keeps their order. Texts are UTF-8 of variable
/// length, numbers 64 bits (NaN: unknown), yes and no are 1 and 0 in 8 bits.
[[nodiscard]] Result<void> write_hdf5(std::span<const Table> tables,
                                      const std::filesystem::path& path);

/// Whom the rows of such a file are about, as they stand in it: ids, names or codes. Empty where
/// the file is none of ours or cannot be read.
[[nodiscard]] std::set<std::string> athletes_in_hdf5(const std::filesystem::path& path);

}  // namespace moundwork::output
