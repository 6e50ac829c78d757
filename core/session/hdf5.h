// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <H5Cpp.h>

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <filesystem>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

#include "core/base/result.h"

/// Small words for the few HDF5 idioms of our files; for core/session and core/output alone.
namespace moundwork::session::hdf5 {

/// Deflate packs a run of one value at most so many times (RFC 1951's longest match of 258 bytes in
/// two bits).
inline constexpr hsize_t tightest_packing = 1032;

/// As many bytes as one text of a session may have: far more than anyone types, and few enough that
/// no page or list takes long over them.
inline constexpr std::size_t longest_text = 8192;

template <class Scalar>
[[nodiscard]] const H5::PredType& native() {
  if constexpr (std::is_same_v<Scalar, std::int16_t>) return H5::PredType::NATIVE_INT16;
  if constexpr (std::is_same_v<Scalar, std::int32_t>) return H5::PredType::NATIVE_INT32;
  if constexpr (std::is_same_v<Scalar, std::int64_t>) return H5::PredType::NATIVE_INT64;
  if constexpr (std::is_same_v<Scalar, float>) return H5::PredType::NATIVE_FLOAT;
  if constexpr (std::is_same_v<Scalar, double>) return H5::PredType::NATIVE_DOUBLE;
}

void write(H5::H5Object& object, const char* name, double value);
void write(H5::H5Object& object, const char* name, std::int64_t value);
void write(H5::H5Object& object, const char* name, const std::string& text);
void write(H5::H5Object& object, const char* name, const std::vector<double>& values,
           std::vector<hsize_t> shape);
void write(H5::H5Object& object, const char* name, const std::vector<std::string>& texts);

/// These throw H5::Exception where the attribute is missing or of another kind.
[[nodiscard]] double read_number(const H5::H5Object& object, const char* name);
[[nodiscard]] std::int64_t read_integer(const H5::H5Object& object, const char* name);
[[nodiscard]] std::string read_text(const H5::H5Object& object, const char* name);
[[nodiscard]] std::vector<double> read_numbers(const H5::H5Object& object, const char* name);
[[nodiscard]] std::vector<std::string> read_texts(const H5::H5Object& object, const char* name);

/// Fixed-length text in table rows: variable-length strings cannot be appended safely in
/// single-writer mode.
template <std::size_t size>
struct Text {
  char data[size] = {};
  Text() = default;
  explicit Text(const std::string& text) {
    // A cut must not split a UTF-8 sequence, or readers refuse the cell.
    std::size_t length = std::min(text.size(), size - 1);
    while (length > 0 && length < text.size() &&
           (static_cast<unsigned char>(text[length]) & 0xC0U) == 0x80U)
      --length;
    std::memcpy(data, text.data(), length);
  }
  [[nodiscard]] std::string str() const { return {data, strnlen(data, size)}; }
};

[[nodiscard]] H5::StrType text_type(std::size_t size);

/// Makes an empty, appendable, chunked table of `type`; packed by Deflate where a level is given.
H5::DataSet make_table(H5::Group& group, const char* name, const H5::DataType& type,
                       hsize_t rows_per_chunk, int deflate = 0);
void append_rows(H5::DataSet& table, const H5::DataType& type, const void* rows, hsize_t count);
[[nodiscard]] hsize_t row_count(const H5::DataSet& table);
/// The rows of a table as far as the file has bytes for them; throws where it claims more, so
/// that a damaged count asks for no memory.
[[nodiscard]] hsize_t rows_held(const H5::DataSet& table);

/// Throws unless values of `type` are numbers as IEEE 754 or the processors have them, text of a
/// fixed length, or rows of those. Others are damage: we write none, and the library converts
/// numbers of odd widths beyond the end of its memory.
void require_plain(const H5::DataType& type);

template <class Row>
[[nodiscard]] std::vector<Row> read_rows(const H5::DataSet& table, const H5::DataType& type) {
  require_plain(table.getDataType());
  std::vector<Row> rows(rows_held(table));
  if (!rows.empty()) table.read(rows.data(), type);
  return rows;
}

/// Access list for writers (formats that single-writer appends need). `clear_state` drops the flags
/// that a killed writer left; only the holder of the FileLock may ask for it.
[[nodiscard]] H5::FileAccPropList writer_access(bool clear_state);

/// Why a file that is there cannot be read, in the system's words; HDF5 tells only that it cannot.
/// A pipe is refused: HDF5 would wait for its other end for ever.
[[nodiscard]] Result<void> readable(const std::filesystem::path& path);

/// Opens to read, also while a recording is being written; where a killed writer left the file
/// marked as open, the marks are cleared first, which needs the FileLock and thus no live writer.
[[nodiscard]] H5::H5File open_to_read(const std::filesystem::path& path);

/// From here on every flush leaves the file readable whatever kills the writer, and objects can
/// only grow (HDF5's single-writer, multiple-reader mode). No attribute may be open.
void begin_single_writer(H5::H5File& file);
/// Brings one table's rows to the file, data before what points to them.
void flush(H5::DataSet& table);

/// Brings all tables of a file, and what describes them, to the file. Closing reports no failure,
/// so this goes before it.
void flush(H5::H5File& file);
/// Has the disk set aside what the file will need, and `margin` bytes more. Throws where it cannot:
/// before the library meets it, which a failed write can leave unable to close the file.
void make_room(const H5::H5File& file, hsize_t margin);
/// The library's own word for the file towards the system; -1 where it has none.
[[nodiscard]] int descriptor_of(const H5::H5File& file) noexcept;
/// What the library still writes to this file goes nowhere, and succeeds. For a file whose disk
/// took no more: the library keeps trying until the process ends, and crashes over it. So it does
/// where it cannot read again what describes the file as a whole: `begin` are the bytes that the
/// file was made of.
void redirect_to_nowhere(const H5::H5File& file, std::string_view begin) noexcept;

/// As failure(), with the system's reason where it had one. errno must have been cleared before the
/// library was asked to write.
[[nodiscard]] Failure write_failure(const std::string& path, const char* doing,
                                    const H5::Exception& exception);
/// HDF5's words for a failure, as our sentence. `doing` e.g. "cannot be read as a session file".
[[nodiscard]] Failure failure(const std::string& path, const char* doing,
                              const H5::Exception& exception);

}  // namespace moundwork::session::hdf5
