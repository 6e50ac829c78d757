// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/codec/line_pattern.h"

#include <algorithm>

namespace moundwork::drivers {
namespace {

std::string names_of(std::span<const std::string_view> fields) {
  std::string names;
  for (const std::string_view field : fields)
    names += (names.empty() ? "{" : ", {") + std::string(field) + "}";
  return names + " and {skip}";
}

}  // namespace

Result<LinePattern> LinePattern::make(std::string_view pattern,
                                      std::span<const std::string_view> fields,
                                      const std::string& where) {
  LinePattern made;
  std::string_view rest = pattern;
  while (!rest.empty()) {
    if (is_blank(rest.front())) {
      while (!rest.empty() && is_blank(rest.front())) rest.remove_prefix(1);
      made.pieces_.push_back({Kind::blank, {}});
    } else if (rest.front() == '{') {
      const std::size_t end = rest.find('}');
      if (end == std::string_view::npos) return fail(where, "a brace is not closed");
      const std::string_view name = rest.substr(1, end - 1);
      const auto field = std::find(fields.begin(), fields.end(), name);
      const auto place = static_cast<std::size_t>(field - fields.begin());
      if (name == "skip") {
        made.pieces_.push_back({Kind::skip, {}});
      } else if (field == fields.end()) {
        return fail(where, "there is no field {" + std::string(name) + "}",
                    "use " + names_of(fields));
      } else if (made.has(place)) {
        return fail(where, "{" + std::string(name) + "} stands there twice");
      } else {
        made.pieces_.push_back({Kind::field, {}, place});
      }
      rest.remove_prefix(end + 1);
    } else {
      const std::size_t length = std::min(rest.find_first_of("{ \t"), rest.size());
      made.pieces_.push_back({Kind::literal, std::string(rest.substr(0, length))});
      rest.remove_prefix(length);
    }
  }
  return made;
}

bool LinePattern::has(std::size_t field) const {
  return std::any_of(pieces_.begin(), pieces_.end(), [&](const Piece& piece) {
    return piece.kind == Kind::field && piece.field == field;
  });
}

bool LinePattern::take_piece(const Piece& piece, std::string_view& rest, const Take& take) {
  switch (piece.kind) {
    case Kind::literal:
      if (!rest.starts_with(piece.text)) return false;
      rest.remove_prefix(piece.text.size());
      return true;
    case Kind::blank: {
      const bool found = rest.empty() || is_blank(rest.front());
      while (!rest.empty() && is_blank(rest.front())) rest.remove_prefix(1);
      return found;
    }
    case Kind::skip: {
      const std::size_t length = std::min(rest.find_first_of(" \t"), rest.size());
      rest.remove_prefix(length);
      return length > 0;
    }
    case Kind::field:
      return take(piece.field, rest);
  }
  return false;
}

bool LinePattern::match(std::string_view line, const Take& take) const {
  while (!line.empty() && is_blank(line.front())) line.remove_prefix(1);
  while (!line.empty() && is_blank(line.back())) line.remove_suffix(1);
  const std::size_t first = !pieces_.empty() && pieces_.front().kind == Kind::blank ? 1 : 0;
  for (std::size_t i = first; i < pieces_.size(); ++i)
    if (!take_piece(pieces_[i], line, take)) return false;
  return line.empty();
}

}  // namespace moundwork::drivers
