// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/codec/radar_line.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <cmath>

#include "core/base/units.h"

namespace moundwork::drivers {
namespace {

constexpr std::size_t longest_line = 256;

enum Field : std::size_t { speed_field, unit_field, direction_field };
constexpr std::array<std::string_view, 3> fields{"speed", "unit", "direction"};

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

/// m/s per unit; a symbol's letters are taken from the front.
std::optional<double> take_unit(std::string_view& rest) {
  std::size_t length = 0;
  while (length < rest.size() &&
         (std::isalpha(static_cast<unsigned char>(rest[length])) != 0 || rest[length] == '/'))
    ++length;
  const auto factor = speed_factor(rest.substr(0, length));
  rest.remove_prefix(length);
  return factor;
}

std::optional<double> take_speed(std::string_view& rest) {
  while (!rest.empty() && is_blank(rest.front())) rest.remove_prefix(1);
  if (!rest.empty() && rest.front() == '+') rest.remove_prefix(1);
  double speed = 0.0;
  const auto [end, status] =
      std::from_chars(rest.data(), rest.data() + rest.size(), speed, std::chars_format::fixed);
  if (status != std::errc{} || !std::isfinite(speed) || std::signbit(speed)) return std::nullopt;
  rest.remove_prefix(static_cast<std::size_t>(end - rest.data()));
  return speed;
}

}  // namespace

Result<RadarLinePattern> RadarLinePattern::make(const RadarLineSettings& settings) {
  const std::string where = "radar pattern '" + settings.pattern + "'";
  auto pattern = LinePattern::make(settings.pattern, fields, where);
  if (!pattern) return tl::make_unexpected(pattern.error());
  RadarLinePattern made;
  made.pattern_ = std::move(*pattern);
  if (!made.pattern_.has(speed_field)) return fail(where, "it has no {speed}");
  if (made.pattern_.has(direction_field) && settings.toward.empty() && settings.away.empty())
    return fail(where, "it has {direction} but no words for it",
                "give 'toward' and 'away' in the station file");
  if (!made.pattern_.has(unit_field)) {
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

std::optional<int> RadarLinePattern::direction(std::string_view& rest) const {
  // The longest word wins, so that "IN" is not taken for "I".
  std::size_t longest = 0;
  int found = 0;
  for (const auto& [words, sign] : {std::pair{&home_, 1}, std::pair{&back_, -1}}) {
    for (const std::string& word : *words) {
      if (word.size() <= longest || !rest.starts_with(word)) continue;
      longest = word.size();
      found = sign;
    }
  }
  if (longest == 0) return std::nullopt;
  rest.remove_prefix(longest);
  return found;
}

std::optional<RadarValue> RadarLinePattern::match(std::string_view line) const {
  double speed = 0.0;
  double factor = factor_;
  int way = 0;
  const auto put = [](const auto& taken, auto& into) {
    if (taken) into = *taken;
    return taken.has_value();
  };
  const bool fits = pattern_.match(line, [&](std::size_t field, std::string_view& rest) {
    if (field == speed_field) return put(take_speed(rest), speed);
    if (field == unit_field) return put(take_unit(rest), factor);
    return put(direction(rest), way);
  });
  if (!fits) return std::nullopt;
  return RadarValue{speed * factor, way};
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
