// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/c3d/parameters.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <utility>

namespace moundwork::c3d {
namespace {

// Length of the UTF-8 sequence that begins at `at`, 0 when there is none (RFC 3629).
std::size_t utf8_length(std::string_view text, std::size_t at) {
  const auto byte = [text](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned first = byte(at);
  std::size_t length = 0;
  if (first < 0x80) return 1;
  if (first >= 0xc2 && first <= 0xdf) length = 2;
  if (first >= 0xe0 && first <= 0xef) length = 3;
  if (first >= 0xf0 && first <= 0xf4) length = 4;
  if (length == 0 || at + length > text.size()) return 0;
  for (std::size_t i = 1; i < length; ++i)
    if ((byte(at + i) & 0xc0) != 0x80) return 0;
  const unsigned second = byte(at + 1);
  const bool overlong_or_surrogate_or_beyond =
      (first == 0xe0 && second < 0xa0) || (first == 0xed && second > 0x9f) ||
      (first == 0xf0 && second < 0x90) || (first == 0xf4 && second > 0x8f);
  return overlong_or_surrogate_or_beyond ? 0 : length;
}

bool is_utf8(std::string_view text) {
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = utf8_length(text, at);
    if (length == 0) return false;
    at += length;
  }
  return true;
}

bool is_padding(char c) { return c == ' ' || c == '\0'; }

std::string clean_text(std::string_view raw) {
  while (!raw.empty() && is_padding(raw.front())) raw.remove_prefix(1);
  while (!raw.empty() && is_padding(raw.back())) raw.remove_suffix(1);
  const bool utf8 = is_utf8(raw);
  std::string text;
  text.reserve(raw.size());
  for (const char c : raw) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x20 || byte == 0x7f) {
      text += ' ';  // labels end up in tables and on screens, where control bytes do harm
    } else if (byte < 0x80 || utf8) {
      text += c;
    } else {
      text += static_cast<char>(0xc0 | byte >> 6);
      text += static_cast<char>(0x80 | (byte & 0x3f));
    }
  }
  return text;
}

std::string raw_text(const Bytes& bytes, std::size_t at, std::size_t count) {
  std::string text(count, '\0');
  for (std::size_t i = 0; i < count; ++i) text[i] = static_cast<char>(bytes.u8(at + i));
  return text;
}

std::string capitals(std::string text) {
  for (char& c : text)
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
  return text;
}

struct Entry {
  int group = 0;
  std::string name;
  Parameter parameter;
};

void decode_numbers(const Bytes& bytes, std::size_t at, std::size_t count, Parameter& parameter) {
  parameter.numbers.resize(count);
  for (std::size_t i = 0; i < count; ++i) {
    switch (parameter.type) {
      case Parameter::Type::byte:
        parameter.numbers[i] = bytes.u8(at + i);
        break;
      case Parameter::Type::int16:
        parameter.numbers[i] = bytes.i16(at + 2 * i);
        break;
      case Parameter::Type::real:
        parameter.numbers[i] = bytes.f32(at + 4 * i);
        break;
      case Parameter::Type::text:
        break;
    }
  }
}

void decode_texts(const Bytes& bytes, std::size_t at, std::size_t count, Parameter& parameter) {
  const std::size_t width =
      parameter.dimensions.empty() ? 1 : static_cast<std::size_t>(parameter.dimensions.front());
  if (!parameter.dimensions.empty()) parameter.dimensions.erase(parameter.dimensions.begin());
  if (width == 0) return;
  parameter.texts.reserve(count / width);
  for (std::size_t i = 0; i + width <= count; i += width)
    parameter.texts.push_back(clean_text(raw_text(bytes, at + i, width)));
}

}  // namespace

const Parameter* find(const Parameters& parameters, std::string_view name) {
  const auto found = parameters.find(name);
  return found == parameters.end() ? nullptr : &found->second;
}

const double* number(const Parameters& parameters, std::string_view name) {
  const Parameter* parameter = find(parameters, name);
  return parameter == nullptr || parameter->numbers.empty() ? nullptr : &parameter->numbers.front();
}

double unsigned_value(double stored) { return stored < 0 ? stored + 65536.0 : stored; }

Result<Parameters> parse_parameters(const Bytes& bytes, std::size_t begin, std::size_t end,
                                    const std::string& name) {
  const auto damaged = [&name](std::size_t at, std::string what) {
    return fail(fmt::format("{}, parameter section, byte {}", name, at), std::move(what),
                "the file is damaged; export it again from where it was recorded");
  };
  std::map<int, std::string> groups;
  std::vector<Entry> entries;
  constexpr std::size_t section_header = 4;
  std::size_t at = begin + section_header;
  const auto inside = [&](std::size_t place, std::size_t count) {
    return place <= end && count <= end - place;
  };
  while (inside(at, 2)) {
    // A negative length marks the entry as locked against editing.
    const auto name_length = static_cast<std::size_t>(std::abs(bytes.i8(at)));
    if (name_length == 0) break;
    const int group = bytes.i8(at + 1);
    const std::size_t link_at = at + 2 + name_length;
    if (group == 0) return damaged(at, "an entry belongs to group 0, which cannot exist");
    if (!inside(link_at, 2))
      return damaged(at, fmt::format("an entry with a name of {} bytes runs past the section's end",
                                     name_length));
    const std::string entry_name = capitals(clean_text(raw_text(bytes, at + 2, name_length)));
    const std::size_t link = bytes.u16(link_at);
    const std::size_t body = link_at + 2;
    // Link 0 marks the last entry, which then may use what is left of the section.
    const std::size_t next = link == 0 ? end : link_at + link;
    if (next > end)
      return damaged(link_at, fmt::format("'{}' says the next entry is {} bytes on, where the "
                                          "section has {} left",
                                          entry_name, link, end - link_at));
    if (next < body)
      return damaged(link_at, fmt::format("'{}' says the next entry begins inside it", entry_name));
    if (group < 0) {
      groups.emplace(-group, entry_name);
    } else {
      if (next - body < 2) return damaged(body, fmt::format("'{}' has no type", entry_name));
      Entry entry{group, entry_name, {}};
      const int type = bytes.i8(body);
      if (type != -1 && type != 1 && type != 2 && type != 4)
        return damaged(body, fmt::format("'{}' has the type {}, where -1, 1, 2 or 4 is wanted",
                                         entry_name, type));
      entry.parameter.type = static_cast<Parameter::Type>(type);
      const std::size_t dimension_count = bytes.u8(body + 1);
      const std::size_t sizes_at = body + 2;
      if (dimension_count > next - sizes_at)
        return damaged(body, fmt::format("'{}' says it has {} dimensions, more than it has bytes",
                                         entry_name, dimension_count));
      const std::size_t data_at = sizes_at + dimension_count;
      const std::size_t room = next - data_at;
      std::uint64_t count = 1;
      for (std::size_t i = 0; i < dimension_count; ++i) {
        const int size = bytes.u8(sizes_at + i);
        entry.parameter.dimensions.push_back(size);
        // Stops growing once it cannot fit, so that many dimensions cannot overflow it; a zero
        // among the later ones still empties it.
        count =
            size == 0 ? 0 : std::min<std::uint64_t>(count * static_cast<unsigned>(size), 1U << 31);
      }
      const auto value_size = static_cast<std::size_t>(std::abs(type));
      if (count * value_size > room)
        return damaged(data_at,
                       fmt::format("'{}' needs {} bytes for its {} values, where {} are left",
                                   entry_name, count * value_size, count, room));
      if (entry.parameter.type == Parameter::Type::text)
        decode_texts(bytes, data_at, count, entry.parameter);
      else
        decode_numbers(bytes, data_at, count, entry.parameter);
      entries.push_back(std::move(entry));
    }
    if (link == 0) break;
    at = next;
  }
  // Groups may follow their entries, so names are joined only now. An entry whose group is never
  // named cannot be asked for and is left out.
  Parameters parameters;
  for (Entry& entry : entries)
    if (const auto group = groups.find(entry.group); group != groups.end())
      parameters.emplace(group->second + ':' + entry.name, std::move(entry.parameter));
  return parameters;
}

}  // namespace moundwork::c3d
