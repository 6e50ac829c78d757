// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/codec/radar_line.h"

#include <algorithm>
#include <cctype>
#include <charconv>
#include <cmath>

#include "core/base/units.h"

namespace moundwork::drivers {
namespace {

constexpr std::size_t longest_line = 256;

bool is_blank(char c) { return c == ' ' || c == '\t'; }

bool same_letters(std::string_view a, std::string_view b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](char x, char y) {
    return std::tolower(static_cast<unsigned char>(x)) ==
           std::tolower(static_cast<unsigned char>(y));
  });
}

/// Spellings of instruments beside the symbols people use.
std::optional<double> speed_factor(std::string_view symbol) {
  for (const std::string_view known : {"m/s", "km/h", "kph", "mph"}) {
    if (!same_letters(symbol, known)) continue;
    const auto factor = unit_factor(known, Dimension::speed, "radar");
    if (factor) return *factor;
  }
  if (same_letters(symbol, "kmh")) return mps_per_kmh;
  if (same_letters(symbol, "mps")) return 1.0;
  return std::nullopt;
}

}  // namespace

struct RadarLinePattern::Cursor {
  std::string_view rest;
  double speed = 0.0;
  double factor = 1.0;
  int direction = 0;
};

Result<RadarLinePattern> RadarLinePattern::make(const RadarLineSettings& settings) {
  const std::string where = "radar pattern '" + settings.pattern + "'";
  RadarLinePattern made;
  const auto has = [&](Kind kind) {
    return std::any_of(made.pieces_.begin(), made.pieces_.end(),
                       [&](const Piece& piece) { return piece.kind == kind; });
  };
  std::string_view rest = settings.pattern;
  while (!rest.empty()) {
    if (is_blank(rest.front())) {
      while (!rest.empty() && is_blank(rest.front())) rest.remove_prefix(1);
      made.pieces_.push_back({Kind::blank, {}});
    } else if (rest.front() == '{') {
      const std::size_t end = rest.find('}');
      if (end == std::string_view::npos) return fail(where, "a brace is not closed");
      const std::string_view name = rest.substr(1, end - 1);
      const Kind kind = name == "speed"       ? Kind::speed
                        : name == "unit"      ? Kind::unit
                        : name == "direction" ? Kind::direction
                        : name == "skip"      ? Kind::skip
                                              : Kind::literal;
      if (kind == Kind::literal)
        return fail(where, "there is no field {" + std::string(name) + "}",
                    "use {speed}, {unit}, {direction} and {skip}");
      if (kind != Kind::skip && has(kind))
        return fail(where, "{" + std::string(name) + "} stands there twice");
      made.pieces_.push_back({kind, {}});
      rest.remove_prefix(end + 1);
    } else {
      const std::size_t length = std::min(rest.find_first_of("{ \t"), rest.size());
      made.pieces_.push_back({Kind::literal, std::string(rest.substr(0, length))});
      rest.remove_prefix(length);
    }
  }
  if (!has(Kind::speed)) return fail(where, "it has no {speed}");
  if (has(Kind::direction) && settings.toward.empty() && settings.away.empty())
    return fail(where, "it has {direction} but no words for it",
                "give 'toward' and 'away' in the station file");
  if (!has(Kind::unit)) {
    const auto factor = speed_factor(settings.unit);
    if (!factor)
      return fail(where, "it has no {unit} and '" + settings.unit + "' is not a unit of speed",
                  "give unit = \"mph\", \"km/h\" or \"m/s\" in the station file");
    made.factor_ = *factor;
  } else if (!settings.unit.empty()) {
    return fail(where, "both the pattern and the station file give a unit", "keep one of them");
  }
  made.home_ = settings.behind_pitcher ? settings.away : settings.toward;
  made.back_ = settings.behind_pitcher ? settings.toward : settings.away;
  for (const auto* words : {&made.home_, &made.back_}) {
    for (const std::string& word : *words)
      if (word.empty()) return fail(where, "a word for the direction is empty");
  }
  return made;
}

bool RadarLinePattern::take(const Piece& piece, Cursor& cursor) const {
  std::string_view& rest = cursor.rest;
  switch (piece.kind) {
    case Kind::literal:
      if (!rest.starts_with(piece.text)) return false;
      rest.remove_prefix(piece.text.size());
      return true;
    case Kind::blank: {
      const bool at_end = rest.empty();
      const bool found = at_end || is_blank(rest.front());
      while (!rest.empty() && is_blank(rest.front())) rest.remove_prefix(1);
      return found;
    }
    case Kind::speed: {
      while (!rest.empty() && is_blank(rest.front())) rest.remove_prefix(1);
      if (!rest.empty() && rest.front() == '+') rest.remove_prefix(1);
      const auto [end, status] = std::from_chars(rest.data(), rest.data() + rest.size(),
                                                 cursor.speed, std::chars_format::fixed);
      if (status != std::errc{} || !std::isfinite(cursor.speed) || std::signbit(cursor.speed))
        return false;
      rest.remove_prefix(static_cast<std::size_t>(end - rest.data()));
      return true;
    }
    case Kind::unit: {
      std::size_t length = 0;
      while (length < rest.size() &&
             (std::isalpha(static_cast<unsigned char>(rest[length])) != 0 || rest[length] == '/'))
        ++length;
      const auto factor = speed_factor(rest.substr(0, length));
      if (!factor) return false;
      cursor.factor = *factor;
      rest.remove_prefix(length);
      return true;
    }
    case Kind::direction: {
      // The longest word wins, so that "IN" is not taken for "I".
      std::size_t longest = 0;
      for (const auto& [words, sign] : {std::pair{&home_, 1}, std::pair{&back_, -1}}) {
        for (const std::string& word : *words) {
          if (word.size() <= longest || !rest.starts_with(word)) continue;
          longest = word.size();
          cursor.direction = sign;
        }
      }
      rest.remove_prefix(longest);
      return longest > 0;
    }
    case Kind::skip: {
      const std::size_t length = std::min(rest.find_first_of(" \t"), rest.size());
      rest.remove_prefix(length);
      return length > 0;
    }
  }
  return false;
}

std::optional<RadarValue> RadarLinePattern::match(std::string_view line) const {
  while (!line.empty() && is_blank(line.front())) line.remove_prefix(1);
  while (!line.empty() && is_blank(line.back())) line.remove_suffix(1);
  Cursor cursor{line, 0.0, factor_, 0};
  const std::size_t first = pieces_.front().kind == Kind::blank ? 1 : 0;
  for (std::size_t i = first; i < pieces_.size(); ++i)
    if (!take(pieces_[i], cursor)) return std::nullopt;
  if (!cursor.rest.empty()) return std::nullopt;
  return RadarValue{cursor.speed * cursor.factor, cursor.direction};
}

RadarLineCodec::RadarLineCodec(RadarLinePattern pattern)
    : pattern_(std::move(pattern)), splitter_(longest_line) {}

void RadarLineCodec::push(std::span<const std::uint8_t> bytes,
                          const std::function<void(const RadarLine&)>& sink) {
  counts_.bytes += bytes.size();
  splitter_.push(bytes, [&](std::string_view text, LineState state) {
    RadarLine line{text, std::nullopt};
    // An opening line may have lost a leading digit: 91 mph must not become 1 mph.
    if (state == LineState::whole) line.value = pattern_.match(text);
    ++(line.value ? counts_.readings : counts_.other_lines);
    sink(line);
  });
}

}  // namespace moundwork::drivers
