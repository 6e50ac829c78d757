// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/table/delimited.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fstream>
#include <limits>
#include <system_error>
#include <utility>

#include "core/base/plain_file.h"
#include "core/base/trim.h"

namespace moundwork::table {
namespace {

constexpr std::size_t chunk_bytes = 1 << 16;
// A quote that is never closed makes the rest of the file one cell; this stops it.
constexpr std::size_t longest_record = 1 << 20;
constexpr std::size_t most_columns = 4096;

// Line ends stand only within quotes, and belong to the cell there.
std::string_view trim_cell(std::string_view text) { return trim(text, " \t"); }

// A cell as it can be shown in a sentence: one line, not too long.
std::string shown(std::string_view cell) {
  constexpr std::size_t longest = 40;
  std::string text(cell.substr(0, longest));
  for (char& c : text)
    if (static_cast<unsigned char>(c) < 0x20 || static_cast<unsigned char>(c) > 0x7e) c = '?';
  return cell.size() > longest ? text + "..." : text;
}

char detect_separator(std::string_view line) {
  for (const char candidate : {'\t', ';'}) {
    bool quoted = false;
    for (const char c : line) {
      if (c == '"') quoted = !quoted;
      if (c == candidate && !quoted) return candidate;
    }
  }
  return ',';
}

bool equals_nan(std::string_view text) {
  return text.size() == 3 && (text[0] == 'n' || text[0] == 'N') &&
         (text[1] == 'a' || text[1] == 'A') && (text[2] == 'n' || text[2] == 'N');
}

}  // namespace

DelimitedReader::DelimitedReader(std::unique_ptr<std::istream> stream, std::string name)
    : stream_(std::move(stream)), name_(std::move(name)) {}

Result<DelimitedReader> DelimitedReader::open(const std::filesystem::path& path,
                                              const DelimitedOptions& options) {
  if (auto file = refuse_endless(path); !file) return tl::make_unexpected(file.error());
  std::error_code status;
  auto stream = std::make_unique<std::ifstream>(path, std::ios::binary);
  if (!*stream || std::filesystem::is_directory(path, status))
    return fail(path.string(), "cannot be opened as a file",
                "check the name and that you may read it");
  return make(std::move(stream), path.string(), options);
}

Result<DelimitedReader> DelimitedReader::make(std::unique_ptr<std::istream> stream,
                                              std::string name, const DelimitedOptions& options) {
  DelimitedReader reader(std::move(stream), std::move(name));
  if (auto read = reader.read_header(options); !read) return tl::make_unexpected(read.error());
  return reader;
}

Result<Eigen::Index> DelimitedReader::column(std::string_view name) const {
  const auto found = std::find(columns_.begin(), columns_.end(), name);
  if (found == columns_.end())
    return fail(name_, fmt::format("has no column '{}'; its columns are {}", name,
                                   fmt::join(columns_, ", ")));
  if (std::find(found + 1, columns_.end(), name) != columns_.end())
    return fail(name_, fmt::format("has several columns '{}'", name), "give each its own name");
  return found - columns_.begin();
}

Result<Rows> DelimitedReader::next(Eigen::Index most_rows) {
  const auto width = static_cast<Eigen::Index>(columns_.size());
  Rows rows(std::max<Eigen::Index>(most_rows, 1), width);
  Eigen::Index count = 0;
  while (count < rows.rows()) {
    const auto more = next_row();
    if (!more) return tl::make_unexpected(more.error());
    if (!*more) break;
    for (std::size_t i = 0; i < field_count_; ++i) {
      const auto value = number(i);
      if (!value) return tl::make_unexpected(value.error());
      rows(count, static_cast<Eigen::Index>(i)) = *value;
    }
    ++count;
  }
  rows.conservativeResize(count, Eigen::NoChange);
  return rows;
}

Result<std::optional<std::span<const std::string>>> DelimitedReader::next_text() {
  const auto more = next_row();
  if (!more) return tl::make_unexpected(more.error());
  if (!*more) return std::nullopt;
  return std::span<const std::string>(fields_.data(), field_count_);
}

// The next record, as wide as the header, in fields_; false at the end.
Result<bool> DelimitedReader::next_row() {
  if (!pending_) {
    auto more = next_record();
    if (!more || !*more) return more;
  }
  pending_ = false;
  if (field_count_ != columns_.size())
    return fail(
        fmt::format("{}, line {}", name_, record_line_),
        fmt::format("has {} cells, where the first line has {}", field_count_, columns_.size()));
  return true;
}

// Moves what is left to the buffer's front and reads on; false at the end of the stream.
bool DelimitedReader::fill() {
  buffer_.erase(0, begin_);
  begin_ = 0;
  const std::size_t kept = buffer_.size();
  buffer_.resize(kept + chunk_bytes);
  stream_->read(buffer_.data() + kept, chunk_bytes);
  buffer_.resize(kept + static_cast<std::size_t>(stream_->gcount()));
  return buffer_.size() > kept;
}

// The next record without its line end; its quoted cells may hold line ends. Nothing at the end.
// The view holds until the next call.
Result<std::optional<std::string_view>> DelimitedReader::next_line() {
  // Where in a cell the scan is; the same rules as in split().
  enum class At { start, plain, quoted, after_quote };
  At state = At::start;
  std::size_t at = begin_;
  std::int64_t lines = 1;
  const auto line = [this] { return fmt::format("{}, line {}", name_, next_line_); };
  while (true) {
    if (at == buffer_.size()) {
      const std::size_t scanned = at - begin_;
      if (scanned > longest_record)
        return fail(line(), fmt::format("is longer than {} bytes", longest_record),
                    "a quote may be left open, or this is no text file");
      const bool more = fill();
      at = begin_ + scanned;
      if (more) continue;
      if (stream_->bad()) return fail(line(), "could not be read", "check the disk");
      if (state == At::quoted) return fail(line(), "has a cell whose closing quote is missing");
      if (scanned == 0) return std::nullopt;
      break;
    }
    const char c = buffer_[at];
    if (c == '\0')
      return fail(line(), "holds a zero byte, so it is not text in UTF-8",
                  "save the file as UTF-8 text");
    if (state == At::quoted) {
      if (c == '"') state = At::after_quote;
      if (c == '\n') ++lines;
    } else if (c == '\n') {
      break;
    } else if (c == separator_) {
      state = At::start;
    } else if (c == '"' && state != At::plain) {
      state = At::quoted;  // the cell's first quote, or the second of a doubled one
    } else {
      state = At::plain;
    }
    ++at;
  }
  std::string_view record = std::string_view(buffer_).substr(begin_, at - begin_);
  if (record.ends_with('\r')) record.remove_suffix(1);
  record_line_ = next_line_;
  next_line_ += lines;
  begin_ = std::min(at + 1, buffer_.size());
  return record;
}

Result<bool> DelimitedReader::next_record() {
  while (true) {
    const auto record = next_line();
    if (!record) return tl::make_unexpected(record.error());
    if (!*record) return false;
    if (trim_cell(**record).empty()) continue;
    if (auto done = split(**record); !done) return tl::make_unexpected(done.error());
    return true;
  }
}

Result<void> DelimitedReader::split(std::string_view record) {
  field_count_ = 0;
  std::size_t at = 0;
  while (true) {
    if (field_count_ == most_columns)
      return fail(fmt::format("{}, line {}", name_, record_line_),
                  fmt::format("has more than {} cells", most_columns),
                  "check that this is the right file");
    if (field_count_ == fields_.size()) fields_.emplace_back();
    std::string& field = fields_[field_count_++];
    field.clear();
    if (at < record.size() && record[at] == '"') {
      for (++at;; ++at) {
        const std::size_t quote = record.find('"', at);
        if (quote == std::string_view::npos)
          return fail(place(field_count_ - 1), "has a cell whose closing quote is missing");
        field.append(record.substr(at, quote - at));
        at = quote + 1;
        if (at >= record.size() || record[at] != '"') break;
        field += '"';
      }
      if (at < record.size() && record[at] != separator_)
        return fail(place(field_count_ - 1), "has text after a closing quote");
    } else {
      const std::size_t end = std::min(record.find(separator_, at), record.size());
      field.assign(trim_cell(record.substr(at, end - at)));
      at = end;
    }
    if (at >= record.size()) return {};
    ++at;
  }
}

Result<void> DelimitedReader::read_header(const DelimitedOptions& options) {
  if (options.separator && options.decimal && *options.separator == *options.decimal)
    return fail(name_, fmt::format("cannot have '{}' both between cells and in numbers",
                                   *options.separator));
  (void)fill();
  const std::string_view start = buffer_;
  if (start.starts_with("\xef\xbb\xbf")) begin_ = 3;
  if (start.starts_with("\xff\xfe") || start.starts_with("\xfe\xff"))
    return fail(name_, "is UTF-16 text, where UTF-8 is wanted", "save the file as UTF-8 text");
  // Lines before the header follow no rules, so quotes mean nothing in them.
  for (int i = 0; i < options.skip_lines; ++i) {
    std::size_t end = buffer_.find('\n', begin_);
    while (end == std::string::npos) {
      const std::size_t scanned = buffer_.size() - begin_;
      if (scanned > longest_record || !fill())
        return fail(name_, fmt::format("ends before the {} lines to skip", options.skip_lines));
      end = buffer_.find('\n', begin_ + scanned);
    }
    begin_ = end + 1;
    ++next_line_;
  }
  std::size_t end = buffer_.find('\n', begin_);
  while (end == std::string::npos && buffer_.size() - begin_ <= longest_record && fill())
    end = buffer_.find('\n', begin_);
  separator_ = options.separator.value_or(detect_separator(
      std::string_view(buffer_).substr(begin_, end == std::string::npos ? end : end - begin_)));
  decimal_ = options.decimal;
  if (separator_ == ',') {
    if (decimal_ == ',')
      return fail(name_, "has commas between cells, so they cannot be decimal commas too",
                  "set the separator");
    decimal_ = '.';
  }
  for (int row = 0; row < std::max(options.header_rows, 1); ++row) {
    const auto more = next_record();
    if (!more) return tl::make_unexpected(more.error());
    if (!*more) return fail(name_, "holds no rows");
    if (row > 0) continue;
    for (std::size_t i = 0; i < field_count_; ++i)
      columns_.push_back(options.header_rows == 0 ? std::to_string(i + 1)
                                                  : std::string(trim_cell(fields_[i])));
  }
  pending_ = options.header_rows == 0;
  return {};
}

Result<double> DelimitedReader::number(std::size_t field) {
  std::string_view text = trim_cell(fields_[field]);
  if (text.empty() || equals_nan(text)) return std::numeric_limits<double>::quiet_NaN();
  std::string& own = fields_[field];
  const std::size_t mark = text.find_first_of(".,");
  if (mark != std::string_view::npos) {
    if (!decimal_) decimal_ = text[mark];
    if (text[mark] != *decimal_ || text.find_first_of(".,", mark + 1) != std::string_view::npos)
      return fail(place(field), fmt::format("'{}' is not a number with a decimal {}", shown(text),
                                            *decimal_ == ',' ? "comma" : "point"));
    own[static_cast<std::size_t>(text.data() - own.data()) + mark] = '.';
  }
  // from_chars knows no plus sign; a second sign after it stays an error.
  if (text.starts_with('+') && text.size() > 1 && text[1] != '-') text.remove_prefix(1);
  double value = 0.0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (status == std::errc::result_out_of_range)
    return fail(place(field), fmt::format("'{}' is too large or too small a number", shown(text)));
  if (status != std::errc{} || end != text.data() + text.size() || !std::isfinite(value))
    return fail(place(field), fmt::format("'{}' is not a number", shown(text)));
  return value;
}

std::string DelimitedReader::place(std::size_t field) const {
  const std::string line = fmt::format("{}, line {}, column {}", name_, record_line_, field + 1);
  return field < columns_.size() ? fmt::format("{} ({})", line, shown(columns_[field])) : line;
}

Result<Table> read_table(const std::filesystem::path& path, const DelimitedOptions& options) {
  auto reader = DelimitedReader::open(path, options);
  if (!reader) return tl::make_unexpected(reader.error());
  Table table{reader->columns(), {}};
  std::vector<double> values;
  constexpr Eigen::Index block_rows = 4096;
  while (true) {
    const auto rows = reader->next(block_rows);
    if (!rows) return tl::make_unexpected(rows.error());
    if (rows->rows() == 0) break;
    values.insert(values.end(), rows->data(), rows->data() + rows->size());
  }
  const auto width = static_cast<Eigen::Index>(table.columns.size());
  table.values = Eigen::Map<const Rows>(values.data(),
                                        static_cast<Eigen::Index>(values.size()) / width, width);
  return table;
}

}  // namespace moundwork::table
