// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <H5Cpp.h>

#include <span>
#include <string>
#include <string_view>

/// What keeps a file from another hand from being read as something it is not, or without end.
namespace moundwork::session::hdf5 {

/// Throws H5::Exception where a part of the file is none of its own: a link that is no plain one,
/// but for those at the top that are named in `links`, and values that lie in another file
/// (external storage, virtual tables). A session from another hand would else show any file that
/// this account may read.
void require_own_parts(const H5::H5File& file, std::span<const std::string_view> links = {});

/// Throws H5::Exception where a table claims more rows than the file has room for, or is
/// cut into pieces so small or large that reading it takes the memory of many such files.
void require_held(const H5::DataSet& table, const std::string& what);
/// Likewise of a recording's table, which counts for so many rows and may claim more: of a file of
/// so many bytes, since what the library has on its pieces is not all on the disk after a power
/// cut.
void require_counted(const H5::DataSet& table, hsize_t rows, hsize_t file_bytes,
                     const std::string& what);

}  // namespace moundwork::session::hdf5
