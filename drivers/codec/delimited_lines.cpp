// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/codec/delimited_lines.h"

#include <charconv>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "core/base/trim.h"

namespace moundwork::drivers {
namespace {

constexpr std::size_t longest_row_line = 4096;

template <class Number>
bool read_number(std::string_view text, Number& number) {
  // from_chars knows no plus sign, which instruments like to send.
  if (text.size() > 1 && text.front() == '+' && text[1] != '-') text.remove_prefix(1);
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), number);
  return status == std::errc{} && end == text.data() + text.size();
}

bool read_sample(std::string_view text, bool integers, double& value) {
  if (!integers) return read_number(text, value) && std::isfinite(value);
  std::int32_t whole = 0;
  if (!read_number(text, whole)) return false;
  value = whole;
  return true;
}

/// Takes the next field off `rest`; false after the last.
bool next_field(std::string_view& rest, bool& more, char delimiter, std::string_view& field) {
  if (!more) return false;
  const std::size_t end = delimiter == ' ' ? rest.find_first_of(" \t") : rest.find(delimiter);
  field = trim(rest.substr(0, end), " \t");
  more = end != std::string_view::npos;
  if (more) rest.remove_prefix(end + 1);
  if (more && delimiter == ' ') rest = trim(rest, " \t");
  return true;
}

}  // namespace

DelimitedLinesCodec::DelimitedLinesCodec(LineFormat format)
    : format_(std::move(format)), splitter_(longest_row_line) {
  const auto in_line = [&](int field) { return field >= 0 && field < format_.fields; };
  bool fits = format_.fields >= 1 && format_.fields <= 1024 && !format_.channels.empty() &&
              format_.counter_bits >= 1 && format_.counter_bits <= 63 &&
              (!format_.counter || in_line(*format_.counter));
  for (const int field : format_.channels) fits = fits && in_line(field);
  if (!fits) throw std::invalid_argument("a line format that contradicts itself");
  channel_of_field_.assign(static_cast<std::size_t>(format_.fields), -1);
  for (std::size_t c = 0; c < format_.channels.size(); ++c)
    channel_of_field_[static_cast<std::size_t>(format_.channels[c])] = static_cast<int>(c);
  values_.resize(format_.channels.size());
}

void DelimitedLinesCodec::reset() {
  splitter_.reset();
  lost_ = 0;
}

void DelimitedLinesCodec::push(std::span<const std::uint8_t> bytes, const Sink& sink) {
  counts_.bytes += bytes.size();
  splitter_.push(bytes,
                 [&](std::string_view text, LineState state) { take_line(text, state, sink); });
}

void DelimitedLinesCodec::take_line(std::string_view text, LineState state, const Sink& sink) {
  // The opening line may be the tail of a longer one that still reads as numbers: with its
  // beginning unknown even the right number of fields proves nothing about the first of them.
  if (state == LineState::opening) {
    counts_.skipped_bytes += text.size();
    return;
  }
  if (state == LineState::too_long || !parse(text)) {
    ++counts_.malformed;
    if (!format_.counter) ++lost_;
    return;
  }
  ++counts_.accepted;
  sink({format_.counter ? std::optional(count_) : std::nullopt, lost_, 1, values_});
  lost_ = 0;
}

bool DelimitedLinesCodec::parse(std::string_view text) {
  std::string_view rest = trim(text, " \t");
  std::string_view field;
  bool more = true;
  int index = 0;
  for (; next_field(rest, more, format_.delimiter, field); ++index) {
    if (index >= format_.fields) return false;
    if (format_.counter && index == *format_.counter) {
      if (!read_number(field, count_) || count_ >> format_.counter_bits != 0) return false;
    }
    const int channel = channel_of_field_[static_cast<std::size_t>(index)];
    if (channel >= 0 &&
        !read_sample(field, format_.integers, values_[static_cast<std::size_t>(channel)]))
      return false;
  }
  return index == format_.fields;
}

}  // namespace moundwork::drivers
