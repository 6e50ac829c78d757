// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/throw_fields.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "core/base/trim.h"
#include "core/base/units.h"
#include "core/base/utf8.h"

namespace moundwork::session {
namespace {

constexpr std::array<std::string_view, throw_field_count> field_keys{
    "pitch_type", "delivery", "effort", "warm_up", "ball", "block"};

// kg; the lightest and heaviest balls that are thrown for training, with room.
constexpr double least_ball_mass = 0.05;
constexpr double greatest_ball_mass = 2.5;

std::string small_letters(std::string_view text) {
  std::string small(text);
  for (char& c : small)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return small;
}

// "Wind up", "wind-up" and "windup" are one word.
std::string bare_word(std::string_view text) {
  std::string word = small_letters(text);
  std::erase_if(word, [](char c) { return c == ' ' || c == '-' || c == '_'; });
  return word;
}

// A whole text; nothing where anything stands beside the number.
std::optional<double> number_in(std::string_view text) {
  double value = 0.0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (status != std::errc() || end != text.data() + text.size() || !std::isfinite(value))
    return std::nullopt;
  return value;
}

Result<double> effort_in(std::string_view text, std::string_view where) {
  const auto refused = [&](const char* what) {
    return fail(std::string(where), what, "write it with its scale, as 90% or 9/10");
  };
  std::optional<double> part, whole;
  if (text.ends_with('%')) {
    part = number_in(trim(text.substr(0, text.size() - 1)));
    whole = 100.0;
  } else if (const auto stroke = text.find('/'); stroke != std::string_view::npos) {
    part = number_in(trim(text.substr(0, stroke)));
    whole = number_in(trim(text.substr(stroke + 1)));
  } else if (number_in(text)) {
    return refused("is an effort without its scale");
  }
  if (!part || !whole) return refused("is no effort");
  if (!(*whole > 0.0) || !(*part > 0.0) || *part > *whole)
    return fail(std::string(where), "is no effort above 0 and up to the greatest",
                "give one up to 100% or 10/10");
  return *part / *whole;
}

Result<bool> yes_in(std::string_view text, std::string_view where) {
  const std::string word = small_letters(text);
  if (word == "yes") return true;
  if (word == "no") return false;
  return fail(std::string(where), "does not say whether the throw was a warm-up",
              "write yes or no");
}

Result<std::string> delivery_in(std::string_view text, std::string_view where) {
  const std::string word = bare_word(text);
  if (word == "windup") return "wind-up";
  if (word == "stretch") return "stretch";
  return fail(std::string(where), "is no delivery", "write wind-up or stretch");
}

Result<double> ball_mass_in(std::string_view text, std::string_view where) {
  const auto mass = parse_quantity(text, Dimension::mass, where);
  if (!mass) return mass;
  if (!(*mass >= least_ball_mass && *mass <= greatest_ball_mass))
    return fail(std::string(where),
                fmt::format("is no mass of a ball between {:.0f} g and {:.0f} g",
                            1000.0 * least_ball_mass, 1000.0 * greatest_ball_mass),
                "give it with its unit, as 145g or 5.25oz");
  return mass;
}

std::string pitch_in(std::string_view text) {
  const std::string word = bare_word(text);
  for (const std::string_view usual : usual_pitch_types)
    if (word == bare_word(usual)) return std::string(usual);
  return std::string(text);
}

// A tag of exactly the field's name goes before others that mean it.
std::string text_of(ThrowField field, const std::map<std::string, std::string>& tags) {
  const auto exact = tags.find(std::string(key_of(field)));
  if (exact != tags.end()) return exact->second;
  for (const auto& [tag, text] : tags)
    if (find_throw_field(tag) == field) return text;
  return {};
}

}  // namespace

std::string_view key_of(ThrowField field) { return field_keys[static_cast<std::size_t>(field)]; }

std::optional<ThrowField> find_throw_field(std::string_view tag) {
  std::string name = small_letters(trim(tag));
  std::replace_if(
      name.begin(), name.end(), [](char c) { return c == ' ' || c == '-'; }, '_');
  const auto found = std::find(field_keys.begin(), field_keys.end(), name);
  if (found == field_keys.end()) return std::nullopt;
  return static_cast<ThrowField>(found - field_keys.begin());
}

Result<std::string> checked_plain_text(std::string_view text, std::string_view where) {
  const std::string kept = valid_utf8(trim(text));
  if (kept.empty()) return fail(std::string(where), "says nothing", "give a word or a number");
  if (std::any_of(kept.begin(), kept.end(), [](unsigned char c) { return c < ' ' || c == 0x7f; }))
    return fail(std::string(where), "holds more than one line of text", "give a short word");
  const auto characters = static_cast<std::size_t>(
      std::count_if(kept.begin(), kept.end(), [](unsigned char c) { return (c & 0xc0) != 0x80; }));
  if (characters > longest_plain_text)
    return fail(std::string(where), fmt::format("has {} characters", characters),
                fmt::format("give at most {}", longest_plain_text));
  return kept;
}

Result<std::string> checked_text(ThrowField field, std::string_view text, std::string_view where) {
  text = trim(text);
  const auto as_written = [&](const auto& value) -> Result<std::string> {
    if (!value) return tl::make_unexpected(value.error());
    return std::string(text);
  };
  switch (field) {
    case ThrowField::delivery:
      return delivery_in(text, where);
    case ThrowField::effort:
      return as_written(effort_in(text, where));
    case ThrowField::warm_up: {
      const auto yes = yes_in(text, where);
      if (!yes) return tl::make_unexpected(yes.error());
      return *yes ? "yes" : "no";
    }
    case ThrowField::ball:
      return as_written(ball_mass_in(text, where));
    case ThrowField::pitch_type: {
      const auto plain = checked_plain_text(text, where);
      if (!plain) return plain;
      return pitch_in(*plain);
    }
    case ThrowField::block:
      break;
  }
  return checked_plain_text(text, where);
}

ThrowFields fields_of(const std::map<std::string, std::string>& tags) {
  ThrowFields fields;
  if (tags.empty()) return fields;
  fields.pitch_type = pitch_in(trim(text_of(ThrowField::pitch_type, tags)));
  fields.block = text_of(ThrowField::block, tags);
  const auto said = [&](ThrowField field, auto read, auto& value) {
    const std::string text = text_of(field, tags);
    if (text.empty()) return;
    if (auto good = read(trim(text), key_of(field))) value = std::move(*good);
  };
  said(ThrowField::delivery, delivery_in, fields.delivery);
  said(ThrowField::effort, effort_in, fields.effort);
  said(ThrowField::warm_up, yes_in, fields.warm_up);
  said(ThrowField::ball, ball_mass_in, fields.ball_mass);
  return fields;
}

bool counts(const EditState& state) { return !state.excluded && !fields_of(state.tags).warm_up; }

}  // namespace moundwork::session
