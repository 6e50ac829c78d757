// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/own_parts.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <string>

#include "core/session/hdf5.h"

namespace moundwork::session::hdf5 {
namespace {

// Our files have some hundred links; one with a million would only keep its reader busy.
constexpr int most_links = 100'000;

struct Visit {
  std::span<const std::string_view> links;
  int seen = 0;
  std::string foreign;  // the first part that is none of the file's own, with what it is
};

bool lies_elsewhere(hid_t file, const char* name) {
  const hid_t table = H5Dopen2(file, name, H5P_DEFAULT);
  if (table < 0) return false;  // damage, which whoever reads it meets
  const hid_t properties = H5Dget_create_plist(table);
  const bool elsewhere = properties >= 0 && (H5Pget_external_count(properties) > 0 ||
                                             H5Pget_layout(properties) == H5D_VIRTUAL);
  if (properties >= 0) H5Pclose(properties);
  H5Dclose(table);
  return elsewhere;
}

// Called from C: nothing is thrown. More than 0 ends the visit.
herr_t look_at(hid_t file, const char* name, const H5L_info_t* link, void* data) noexcept {
  auto& visit = *static_cast<Visit*>(data);
  try {
    if (++visit.seen > most_links) {
      visit.foreign = "it has more parts than any session";
      return 1;
    }
    if (link->type != H5L_TYPE_HARD) {
      if (std::find(visit.links.begin(), visit.links.end(), name) != visit.links.end()) return 0;
      visit.foreign = fmt::format("its part '{}' is a link to somewhere else", name);
      return 1;
    }
    const hid_t object = H5Oopen(file, name, H5P_DEFAULT);
    const bool table = object >= 0 && H5Iget_type(object) == H5I_DATASET;
    if (object >= 0) H5Oclose(object);
    if (table && lies_elsewhere(file, name)) {
      visit.foreign = fmt::format("the values of its part '{}' lie in another file", name);
      return 1;
    }
    return 0;
  } catch (...) {
    return -1;
  }
}

}  // namespace

void require_own_parts(const H5::H5File& file, std::span<const std::string_view> links) {
  Visit visit{links, 0, {}};
  if (H5Lvisit(file.getId(), H5_INDEX_NAME, H5_ITER_NATIVE, look_at, &visit) < 0)
    throw H5::FileIException("require_own_parts", "its parts cannot be listed");
  if (!visit.foreign.empty())
    throw H5::FileIException("require_own_parts",
                             visit.foreign + ", and nothing but the file itself is read");
}

namespace {

// Rows and columns.
std::array<hsize_t, 2> shape_of(const H5::DataSet& table, const std::string& what) {
  const H5::DataSpace space = table.getSpace();
  std::array<hsize_t, 2> shape{0, 1};
  if (space.getSimpleExtentNdims() > static_cast<int>(shape.size()))
    throw H5::DataSetIException("shape_of", fmt::format("{} have more than two dimensions", what));
  space.getSimpleExtentDims(shape.data());
  return shape;
}

void require_bytes(const H5::DataSet& table, std::array<hsize_t, 2> shape, hsize_t bytes,
                   const std::string& what) {
  const hsize_t cell = std::max<hsize_t>(1, table.getDataType().getSize());
  if (shape[0] > bytes / (cell * std::max<hsize_t>(1, shape[1])))
    throw H5::DataSetIException(
        "require_bytes",
        fmt::format("{} are said to be {} rows, more than the file holds", what, shape[0]));
  const H5::DSetCreatPropList properties = table.getCreatePlist();
  if (properties.getLayout() != H5D_CHUNKED) return;
  // Our own pieces hold a second, at least 64 rows (skeleton.cpp).
  std::array<hsize_t, 2> piece{1, 1};
  properties.getChunk(static_cast<int>(piece.size()), piece.data());
  constexpr hsize_t largest_piece = hsize_t{1} << 28U;
  constexpr hsize_t most_small_pieces = 1 << 16;
  constexpr hsize_t least_rows = 8;
  const bool small = piece[0] < least_rows || piece[1] < shape[1];
  if (piece[0] > largest_piece / cell / std::max<hsize_t>(1, piece[1]) ||
      (small && shape[0] * shape[1] > most_small_pieces))
    throw H5::DataSetIException(
        "require_bytes", fmt::format("{} lie in pieces of {} x {} values, which no session's do",
                                     what, piece[0], piece[1]));
}

}  // namespace

void require_held(const H5::DataSet& table, const std::string& what) {
  const bool packed = table.getCreatePlist().getNfilters() > 0;
  require_bytes(table, shape_of(table, what),
                table.getStorageSize() * (packed ? tightest_packing : 1), what);
}

void require_counted(const H5::DataSet& table, hsize_t rows, hsize_t file_bytes,
                     const std::string& what) {
  std::array<hsize_t, 2> shape = shape_of(table, what);
  if (rows > shape[0])
    throw H5::DataSetIException(
        "require_counted",
        fmt::format("{} are {} rows, fewer than the {} that are said to be on the disk", what,
                    shape[0], static_cast<std::int64_t>(rows)));
  shape[0] = rows;
  require_bytes(table, shape, file_bytes, what);
}

}  // namespace moundwork::session::hdf5
