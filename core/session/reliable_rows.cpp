// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/reliable_rows.h"

#include <algorithm>
#include <bit>
#include <vector>

#include "core/session/check_sum.h"

namespace moundwork::session::reliable {
namespace {

constexpr hsize_t most_bytes = hsize_t{8} << 20U;  // of samples read at once, but for one block

static_assert(std::endian::native == std::endian::little,
              "check sums are of bytes as the file has them");

std::vector<schema::BlockRow> blocks_at(const H5::DataSet& blocks, hsize_t first, hsize_t count) {
  std::vector<schema::BlockRow> rows(count);
  const H5::DataSpace source = blocks.getSpace();
  source.selectHyperslab(H5S_SELECT_SET, &count, &first);
  blocks.read(rows.data(), schema::block_type(), H5::DataSpace(1, &count), source);
  return rows;
}

std::vector<std::byte> bytes_of(const H5::DataSet& samples, hsize_t first, hsize_t count,
                                hsize_t channels, std::size_t cell) {
  std::vector<std::byte> bytes(count * channels * cell);
  if (bytes.empty()) return bytes;
  const hsize_t start[2] = {first, 0};
  const hsize_t size[2] = {count, channels};
  const H5::DataSpace source = samples.getSpace();
  source.selectHyperslab(H5S_SELECT_SET, size, start);
  samples.read(bytes.data(), samples.getDataType(), H5::DataSpace(2, size), source);
  return bytes;
}

}  // namespace

std::int64_t sum_of(const schema::BlockRow& row, std::span<const std::byte> samples) {
  const auto told = std::as_bytes(std::span(&row, 1)).first(offsetof(schema::BlockRow, check));
  return check_sum({told, samples});
}

DeviceRows rows_of(const H5::DataSet& samples, const H5::DataSet& blocks, DeviceRows counted,
                   hsize_t file_bytes) {
  hsize_t shape[2] = {0, 0};
  samples.getSpace().getSimpleExtentDims(shape);
  const hsize_t claimed = hdf5::row_count(blocks);
  const std::size_t cell = samples.getDataType().getSize(), row_bytes = shape[1] * cell;
  hsize_t left = file_bytes / row_bytes;  // rows that the file can hold, and no more
  DeviceRows reliable = counted;
  // Many at a time while all goes well; one by one from where something cannot be read.
  hsize_t most = 512;
  while (reliable.blocks < claimed) {
    try {
      const hsize_t wanted = std::min(most, claimed - reliable.blocks);
      const bool more = reliable.blocks + wanted < claimed;
      const auto rows = blocks_at(blocks, reliable.blocks, wanted + (more ? 1 : 0));
      // Where each block ends, up to the first that cannot be one.
      std::vector<hsize_t> ends;
      hsize_t at = reliable.samples;
      for (hsize_t b = 0; b < wanted; ++b) {
        if (static_cast<hsize_t>(rows[b].first_sample) != at) break;
        const hsize_t end =
            b + 1 < rows.size() ? static_cast<hsize_t>(rows[b + 1].first_sample) : shape[0];
        if (end < at || end > shape[0] || end - reliable.samples > left) break;
        if (b > 0 && (end - reliable.samples) * row_bytes > most_bytes) break;
        ends.push_back(at = end);
      }
      if (ends.empty()) return reliable;
      const hsize_t first = reliable.samples;
      const auto bytes = bytes_of(samples, first, ends.back() - first, shape[1], cell);
      for (std::size_t b = 0; b < ends.size(); ++b) {
        const auto own = std::span(bytes).subspan((reliable.samples - first) * row_bytes,
                                                  (ends[b] - reliable.samples) * row_bytes);
        if (rows[b].check != sum_of(rows[b], own)) return reliable;
        reliable = {ends[b], reliable.blocks + 1};
      }
      left -= ends.back() - first;
    } catch (const H5::Exception&) {
      // What leads to these rows did not reach the disk.
      H5Eclear2(H5E_DEFAULT);
      if (most == 1) return reliable;
      most = 1;
    }
  }
  return reliable;
}

}  // namespace moundwork::session::reliable
