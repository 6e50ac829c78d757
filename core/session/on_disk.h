// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/session/hdf5.h"
#include "core/session/session.h"

/// How many rows of each table of a recording the disk has confirmed: `records/on_disk`
/// (docs/files.md); private to core/session. Its bytes are written past the library, since they may
/// be changed only after the disk has answered for all that they count.
namespace moundwork::session::on_disk {

/// The tables that are counted, in order: of each device its samples and its blocks, then the
/// events of each source.
[[nodiscard]] std::vector<std::string> tables_of(const Session& session);

/// Makes the record with no row counted. `tables` names each table by its path in the file.
void make(H5::H5File& file, const std::vector<std::string>& tables);
/// Where its bytes lie in the file.
[[nodiscard]] std::uint64_t place_in(const H5::H5File& file);

/// One of the record's two halves, which are written in turn, so that one that is cut short leaves
/// the other: its number, the rows of each table, and the check sum of these.
[[nodiscard]] std::vector<std::int64_t> half(std::int64_t number,
                                             std::span<const std::int64_t> rows);
[[nodiscard]] inline std::size_t bytes_of_half(std::size_t tables) {
  return (tables + 2) * sizeof(std::int64_t);
}

/// The rows of each table that the newer whole half counts: none where neither half is whole;
/// nothing in a file without the record, of an earlier version or no recording. Read it before the
/// tables, which may grow. Throws H5::Exception.
[[nodiscard]] std::optional<std::vector<std::int64_t>> read(const H5::H5File& file);

}  // namespace moundwork::session::on_disk
