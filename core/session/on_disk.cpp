// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/on_disk.h"

#include <algorithm>

#include "core/session/attributes.h"
#include "core/session/check_sum.h"
#include "core/session/kinds/list.h"

namespace moundwork::session::on_disk {
namespace {

constexpr const char* path = "records/on_disk";
constexpr hsize_t most_tables = 1 << 16;

std::int64_t sum_of(std::span<const std::int64_t> counted) {
  return check_sum({std::as_bytes(counted)});
}

}  // namespace

std::vector<std::string> tables_of(const Session& session) {
  std::vector<std::string> tables;
  for (const Device& device : session.devices)
    for (const char* table : {"samples", "blocks"})
      tables.push_back("devices/" + device.name + "/" + table);
  for (const EventSource& source : event_sources(session))
    tables.push_back(source.kind->events->path(source.name));
  return tables;
}

void make(H5::H5File& file, const std::vector<std::string>& tables) {
  const hsize_t shape[2] = {2, tables.size() + 2};
  const std::vector<std::int64_t> zeros(shape[0] * shape[1], 0);
  H5::DSetCreatPropList allocated;
  allocated.setAllocTime(H5D_ALLOC_TIME_EARLY);  // or it has no place yet
  H5::DataSet record =
      file.createDataSet(path, H5::PredType::STD_I64LE, H5::DataSpace(2, shape), allocated);
  record.write(zeros.data(), H5::PredType::NATIVE_INT64);
  hdf5::write(record, "tables", tables);
  hdf5::write(record, "columns",
              std::string("number of the half, rows of each table, check sum of these"));
}

std::uint64_t place_in(const H5::H5File& file) { return file.openDataSet(path).getOffset(); }

std::vector<std::int64_t> half(std::int64_t number, std::span<const std::int64_t> rows) {
  std::vector<std::int64_t> cells{number};
  cells.insert(cells.end(), rows.begin(), rows.end());
  cells.push_back(sum_of(cells));
  return cells;
}

std::optional<std::vector<std::int64_t>> read(const H5::H5File& file) {
  if (!file.nameExists("records") || !file.nameExists(path)) return std::nullopt;
  const H5::DataSet record = file.openDataSet(path);
  hdf5::require_plain(record.getDataType());
  hsize_t shape[2] = {0, 0};
  hdf5::require(record.getSpace().getSimpleExtentNdims() == 2,
                "what is on the disk is not counted in a table");
  record.getSpace().getSimpleExtentDims(shape);
  hdf5::require(shape[0] == 2 && shape[1] >= 2 && shape[1] <= most_tables + 2,
                "what is on the disk is counted in a table of another shape");
  std::vector<std::int64_t> cells(2 * shape[1]);
  record.read(cells.data(), H5::PredType::NATIVE_INT64);
  std::optional<std::span<const std::int64_t>> newest;
  for (const std::size_t first : {std::size_t{0}, static_cast<std::size_t>(shape[1])}) {
    const auto one = std::span<const std::int64_t>(cells).subspan(first, shape[1]);
    const bool whole = one.back() == sum_of(one.first(one.size() - 1));
    if (whole && (!newest || one.front() > newest->front())) newest = one;
  }
  std::vector<std::int64_t> rows(shape[1] - 2, 0);
  if (newest) std::copy(newest->begin() + 1, newest->end() - 1, rows.begin());
  return rows;
}

}  // namespace moundwork::session::on_disk
