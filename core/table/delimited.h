// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <filesystem>
#include <istream>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.h"

/// Numbers out of delimited text: RFC 4180 quoting, with semicolons and tabs besides commas, and
/// decimal commas where the separator leaves them free.
namespace moundwork::table {

struct DelimitedOptions {
  /// Found from the first header line when not set: a tab if it has one, else a semicolon, else a
  /// comma.
  std::optional<char> separator;
  /// '.' or ','; the first cell that has one decides when not set (with a comma as separator it is
  /// '.').
  std::optional<char> decimal;
  int skip_lines = 0;   ///< lines before the header
  int header_rows = 1;  ///< the first names the columns; 0: columns are named "1", "2", ...
};

/// Rows of a table, row-major so that a block is filled as it is read.
using Rows = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

/// Reads a stream a block of rows at a time; memory does not grow with the file. Errors name the
/// line and the column, both counted from 1. Blank lines are passed over; empty cells and "nan" are
/// NaN; every row must have as many cells as the header.
class DelimitedReader {
 public:
  [[nodiscard]] static Result<DelimitedReader> open(const std::filesystem::path& path,
                                                    const DelimitedOptions& options = {});
  /// `name` stands for the stream in sentences.
  [[nodiscard]] static Result<DelimitedReader> make(std::unique_ptr<std::istream> stream,
                                                    std::string name,
                                                    const DelimitedOptions& options = {});

  [[nodiscard]] const std::vector<std::string>& columns() const { return columns_; }
  /// Position of the one column of that name.
  [[nodiscard]] Result<Eigen::Index> column(std::string_view name) const;

  /// The next rows, at most `most_rows` (at least 1); none at the end.
  [[nodiscard]] Result<Rows> next(Eigen::Index most_rows);

  /// Cells of the next row as text, for tables that hold more than numbers; nothing at the end. The
  /// view holds until the next call.
  [[nodiscard]] Result<std::optional<std::span<const std::string>>> next_text();
  [[nodiscard]] std::int64_t line() const { return record_line_; }  ///< of that row, from 1

 private:
  DelimitedReader(std::unique_ptr<std::istream> stream, std::string name);

  [[nodiscard]] Result<std::optional<std::string_view>> next_line();
  [[nodiscard]] Result<bool> next_record();
  [[nodiscard]] Result<bool> next_row();
  [[nodiscard]] Result<void> split(std::string_view record);
  [[nodiscard]] Result<void> read_header(const DelimitedOptions& options);
  [[nodiscard]] Result<double> number(std::size_t field);
  [[nodiscard]] bool fill();
  [[nodiscard]] std::string place(std::size_t field) const;

  std::unique_ptr<std::istream> stream_;
  std::string name_;
  std::string buffer_;
  std::size_t begin_ = 0;         // first byte of buffer_ that is not yet given out
  std::int64_t record_line_ = 0;  // on which the record in fields_ begins
  std::int64_t next_line_ = 1;
  std::vector<std::string> fields_;  // grows to the widest record and is reused
  std::size_t field_count_ = 0;
  std::vector<std::string> columns_;
  bool pending_ = false;  // without a header, the first record has been split but not given out
  char separator_ = ',';
  std::optional<char> decimal_;
};

struct Table {
  std::vector<std::string> columns;
  Rows values;
};

/// A whole table at once, for small files.
[[nodiscard]] Result<Table> read_table(const std::filesystem::path& path,
                                       const DelimitedOptions& options = {});

}  // namespace moundwork::table
