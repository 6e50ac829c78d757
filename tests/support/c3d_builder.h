// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

/// Writer of small C3D files for tests: every choice the standard leaves to a writer can be made
/// here, and many that it forbids. Independent of the reader on purpose.
namespace moundwork::test {

struct C3dEntry {
  enum class Type : int { text = -1, byte = 1, int16 = 2, real = 4 };
  std::string group;
  std::string name;
  Type type = Type::int16;
  std::vector<int> dimensions;
  std::vector<double> numbers;
  std::string text;  ///< type text: all characters, already padded to the first dimension
  bool locked = false;
};

[[nodiscard]] C3dEntry int_entry(std::string group, std::string name, std::vector<int> dimensions,
                                 std::vector<double> numbers);
[[nodiscard]] C3dEntry real_entry(std::string group, std::string name, std::vector<int> dimensions,
                                  std::vector<double> numbers);
[[nodiscard]] C3dEntry text_entry(std::string group, std::string name,
                                  const std::vector<std::string>& texts);

struct C3dRecipe {
  int processor = 84;
  bool real = false;
  bool groups_last = false;       ///< entries before the groups they belong to
  bool end_by_zero_link = false;  ///< last entry links to nothing, with no zero byte after it
  int block_count_byte = -1;      ///< -1: the true count, modulo 256 as writers do
  std::size_t points = 0;
  std::size_t channels = 0;
  std::size_t samples_per_frame = 1;
  std::size_t frames = 0;       ///< frames written
  std::size_t first_frame = 1;  ///< in the header
  double header_rate = 100.0;
  double point_scale = 0.1;  ///< positive; the sign follows `real`
  std::vector<C3dEntry> entries;
  /// Position in file units of (frame, point, axis); NaN makes the point missing.
  std::function<double(std::size_t, std::size_t, std::size_t)> position;
  /// Raw analog value of (sample, channel); 16 bits of it are written in integer files.
  std::function<double(std::size_t, std::size_t)> raw;

  [[nodiscard]] C3dEntry* entry(const std::string& group, const std::string& name);
  void remove(const std::string& group, const std::string& name);
};

[[nodiscard]] std::vector<std::byte> build(const C3dRecipe& recipe);

/// Four plates, one of each type (in order 1 to 4), at the same place: the pitched 600 x 400 mm
/// plate pitched by atan(1/12) under loads computed apart with NumPy from frame `first_loaded`
/// on, and empty before. 12 frames of 3 points at 100 Hz, 4 analog samples in each; ZERO names
/// frames 1 to 4.
[[nodiscard]] C3dRecipe four_plate_recipe(int processor, bool real);
inline constexpr std::size_t four_plate_first_loaded = 5;  ///< 0-based frame

/// A spread of valid files for mutation tests and as fuzzing seeds.
struct NamedFile {
  std::string name;
  std::vector<std::byte> bytes;
};
[[nodiscard]] std::vector<NamedFile> sample_c3d_files();

}  // namespace moundwork::test
