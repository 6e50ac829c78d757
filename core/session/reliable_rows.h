// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <span>

#include "core/session/hdf5.h"
#include "core/session/schema.h"

/// Which rows of a recording hold what was recorded, whatever ended it; private to core/session.
/// The disk has confirmed those that the file counts (on_disk.h). Of what follows, each block whose
/// check sum agrees is there as well: after a kill all of it, after a power cut some.
namespace moundwork::session::reliable {

struct DeviceRows {
  hsize_t samples = 0, blocks = 0;
};

/// What BlockRow::check holds: of the row's other members and its samples' bytes.
[[nodiscard]] std::int64_t sum_of(const schema::BlockRow& row, std::span<const std::byte> samples);

/// `file_bytes` bounds what is read: pieces that a table says it has and the file does not hold
/// read as zeros without end.
[[nodiscard]] DeviceRows rows_of(const H5::DataSet& samples, const H5::DataSet& blocks,
                                 DeviceRows counted, hsize_t file_bytes);

}  // namespace moundwork::session::reliable
