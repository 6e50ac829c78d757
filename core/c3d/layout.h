// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/c3d/bytes.h"
#include "core/c3d/parameters.h"

namespace moundwork::c3d {

/// Where the data section's numbers lie, agreed between header, parameters and the file's length.
struct Layout {
  bool real = false;             ///< 32-bit real numbers; else 16-bit integers
  bool unsigned_counts = false;  ///< analog integers are unsigned (ANALOG:FORMAT)
  std::size_t begin = 0;         ///< byte of the first frame
  std::uint64_t frames = 0;
  std::size_t points = 0;
  std::size_t channels = 0;
  std::size_t samples_per_frame = 0;
  double frame_rate = 0.0;   ///< Hz
  double point_scale = 1.0;  ///< POINT:UNITS per count, integer files
  double metres_per_unit = 0.001;
  std::vector<std::string> remarks;  ///< contradictions that could be resolved

  [[nodiscard]] std::size_t value_size() const { return real ? 4 : 2; }
  /// A point is x, y, z and a word of residual and cameras.
  [[nodiscard]] std::uint64_t frame_size() const {
    return (std::uint64_t{4} * points + std::uint64_t{channels} * samples_per_frame) * value_size();
  }
};

inline constexpr std::size_t block_size = 512;

/// `bytes` hold at least the header block. Fails when a count is missing, absurd or does not fit
/// the file, or a rate or scale is not a usable number.
[[nodiscard]] Result<Layout> find_layout(const Bytes& bytes, const Parameters& parameters,
                                         const std::string& name);

}  // namespace moundwork::c3d
