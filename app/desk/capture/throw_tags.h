// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <array>
#include <string>

#include "core/session/edit_state.h"
#include "core/session/results.h"
#include "core/session/session.h"

/// What a coach notes of a throw, each by one key. Tags are edits of the session (docs/files.md),
/// named by the throw's contact, so that they can be made before the session has been analysed.
namespace moundwork::desk {

inline constexpr const char* pitch_tag = "pitch_type";
inline constexpr const char* cue_tag = "cue";
inline constexpr const char* miss_tag = "miss";
// Texts that core/session/throw_fields.h takes.
inline constexpr const char* warm_up_tag = "warm_up";
inline constexpr const char* warm_up_text = "yes";
inline constexpr const char* delivery_tag = "delivery";
inline constexpr const char* stretch_text = "stretch";
inline constexpr const char* effort_tag = "effort";
/// One key goes through them and then takes the note off: fewer is a question for `moundwork edit`.
inline constexpr std::array<const char*, 6> effort_texts{"100%", "90%", "80%", "70%", "60%", "50%"};
[[nodiscard]] std::string effort_after(const std::string& effort);

struct PitchKey {
  char key;
  const char* pitch;  ///< the tag's text
};
inline constexpr std::array<PitchKey, 8> pitch_keys{{{'F', "fastball"},
                                                     {'S', "sinker"},
                                                     {'C', "cutter"},
                                                     {'L', "slider"},
                                                     {'V', "curveball"},
                                                     {'H', "change-up"},
                                                     {'P', "splitter"},
                                                     {'K', "knuckleball"}}};

/// Where the ball went against where it was meant, by a digit as it lies on a number pad, seen from
/// the mound: 7 8 9 high, 4 5 6, 1 2 3 low; 5 is where it was meant. Sideways it is the thrower's
/// arm side or glove side, which stays true whichever hand throws.
[[nodiscard]] std::string miss_text(int digit, session::Hand hand);

/// `text` empty takes the tag off.
[[nodiscard]] session::Edit tag_edit(double contact, const std::string& tag,
                                     const std::string& text);
[[nodiscard]] session::Edit exclude_edit(double contact, const std::string& why);
[[nodiscard]] session::Edit include_edit(double contact);

/// "fastball, cue: heel, missed low, arm side": all tags of a throw in one line.
[[nodiscard]] QString tag_words(const session::EditState& state);

}  // namespace moundwork::desk
