// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <limits>
#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "core/base/result.h"
#include "core/session/edit_state.h"

/// What the program itself understands of a throw's tags: tags of fixed names whose texts are
/// checked when they are made. In files they are tags as any other (docs/files.md).
namespace moundwork::session {

/// kg; official rules: 5 to 5 1/4 oz.
inline constexpr double usual_ball_mass = 0.145;

enum class ThrowField { pitch_type, delivery, effort, warm_up, ball, block };
inline constexpr int throw_field_count = 6;

/// The tag's name.
[[nodiscard]] std::string_view key_of(ThrowField field);
/// Names are taken whatever their capitals and with blanks or hyphens: "Pitch type" is pitch_type.
[[nodiscard]] std::optional<ThrowField> find_throw_field(std::string_view tag);

/// Names to offer; others are taken as they are written.
inline constexpr std::array<std::string_view, 8> usual_pitch_types{
    "fastball", "sinker", "cutter", "slider", "curveball", "change-up", "splitter", "knuckleball"};

/// The text as it is to be kept ("Changeup" as "change-up"). Fails where the field cannot hold it;
/// `where` names the option or cell for the sentence.
[[nodiscard]] Result<std::string> checked_text(ThrowField field, std::string_view text,
                                               std::string_view where);

/// The longest plain text that a field holds, in characters.
inline constexpr std::size_t longest_plain_text = 40;
/// A text that says something and is short: trimmed. Fails as `checked_text` does.
[[nodiscard]] Result<std::string> checked_plain_text(std::string_view text, std::string_view where);

struct ThrowFields {
  std::string pitch_type;                                    ///< empty where nobody said
  std::string delivery;                                      ///< "wind-up", "stretch", or empty
  double effort = std::numeric_limits<double>::quiet_NaN();  ///< 0 to 1 of the greatest
  bool warm_up = false;
  double ball_mass = usual_ball_mass;  ///< kg
  std::string block;                   ///< empty where nobody said
};
/// Of the tags of a throw. One of an earlier version that holds no value of its field says nothing.
[[nodiscard]] ThrowFields fields_of(const std::map<std::string, std::string>& tags);

/// Whether a throw counts for relations, means and changes: neither taken out by hand nor a
/// warm-up. For a day's pitches and the rest after it every throw counts.
[[nodiscard]] bool counts(const EditState& state);

}  // namespace moundwork::session
