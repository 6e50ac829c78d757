// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/reliable_rows.h"

#include <bit>
#include <optional>
#include <vector>

#include "core/session/check_sum.h"

namespace moundwork::session::reliable {
namespace {

static_assert(std::endian::native == std::endian::little,
              "check sums are of bytes as the file has them");

schema::BlockRow block_at(const H5::DataSet& blocks, hsize_t row) {
  schema::BlockRow block{};
  const hsize_t one = 1;
  const H5::DataSpace source = blocks.getSpace();
  source.selectHyperslab(H5S_SELECT_SET, &one, &row);
  blocks.read(&block, schema::block_type(), H5::DataSpace(1, &one), source);
  return block;
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
  const hsize_t claimed_blocks = hdf5::row_count(blocks);
  const std::size_t cell = samples.getDataType().getSize();
  hsize_t left = file_bytes / (shape[1] * cell);  // rows that the file can hold, and no more
  DeviceRows reliable = counted;
  try {
    std::optional<schema::BlockRow> next;
    while (reliable.blocks < claimed_blocks) {
      const auto block = next ? *next : block_at(blocks, reliable.blocks);
      if (static_cast<hsize_t>(block.first_sample) != reliable.samples) break;
      hsize_t end = shape[0];
      if (reliable.blocks + 1 < claimed_blocks) {
        next = block_at(blocks, reliable.blocks + 1);
        end = static_cast<hsize_t>(next->first_sample);
      }
      if (end < reliable.samples || end > shape[0] || end - reliable.samples > left) break;
      const auto bytes =
          bytes_of(samples, reliable.samples, end - reliable.samples, shape[1], cell);
      if (block.check != sum_of(block, bytes)) break;
      left -= end - reliable.samples;
      reliable = {end, reliable.blocks + 1};
    }
  } catch (const H5::Exception&) {
    // What leads to these rows did not reach the disk.
    H5Eclear2(H5E_DEFAULT);
  }
  return reliable;
}

}  // namespace moundwork::session::reliable
