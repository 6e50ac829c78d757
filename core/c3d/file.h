// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <filesystem>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "core/base/result.h"
#include "core/c3d/parameters.h"

/// Reader of C3D, the open format of motion laboratories (C3D user guide, c3d.org): all six storage
/// variants (three processors, integer and real).
namespace moundwork::c3d {

/// Marker positions in the file's lab frame.
struct Points {
  std::vector<std::string> labels;  ///< one a point; empty where the file has none
  std::vector<float> xyz;  ///< m, frames x points x 3 in row-major order; NaN where missing
};

struct AnalogChannel {
  std::string label;
  std::string unit;     ///< after scaling, as the file writes it; empty where it has none
  double scale = 1.0;   ///< value = (raw - offset) * scale; ANALOG:GEN_SCALE folded in
  double offset = 0.0;  ///< raw units
  bool scaled = false;  ///< false where the file gives no scale: values are then bare counts
  /// Raw values at which the converter clips; infinite in files of real numbers.
  double lowest = -std::numeric_limits<double>::infinity();
  double highest = std::numeric_limits<double>::infinity();
};

struct Analog {
  double rate = 0.0;  ///< Hz
  std::vector<AnalogChannel> channels;
  /// As stored, samples x channels in row-major order. Unsigned 16-bit counts are held less 32768,
  /// with the channels' offsets moved likewise.
  std::variant<std::vector<std::int16_t>, std::vector<float>> raw;
};

struct File {
  std::string name;         ///< for sentences
  double point_rate = 0.0;  ///< frames per second
  Eigen::Index frame_count = 0;
  Eigen::Index samples_per_frame = 0;
  double metres_per_unit = 0.001;  ///< of POINT:UNITS
  Points points;
  Analog analog;
  Parameters parameters;
  std::vector<std::string> remarks;  ///< what was odd about the file but could be read past
};

[[nodiscard]] Result<File> read(const std::filesystem::path& path);

/// The same from memory; `name` stands for the file in sentences. Trusts no count in the bytes:
/// memory stays within a small multiple of their size.
[[nodiscard]] Result<File> parse(std::span<const std::byte> bytes, std::string name);

/// Scaled values of some channels (samples x channels, the columns in the order given).
[[nodiscard]] Eigen::MatrixXd scaled(const Analog& analog, std::span<const int> channels);

[[nodiscard]] Eigen::Index sample_count(const Analog& analog);

/// Column of a point by its label. Capitals and small letters count as equal, and "ankle" finds
/// "someone:ankle" where no label is "ankle" alone.
[[nodiscard]] std::optional<Eigen::Index> find_point(const File& file, std::string_view label);

/// One point over time (frames x 3, m); NaN where missing.
[[nodiscard]] Eigen::Array<double, Eigen::Dynamic, 3> trajectory(const File& file,
                                                                 Eigen::Index point);

}  // namespace moundwork::c3d
