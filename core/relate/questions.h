// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <string_view>

/// The few questions that a coach asks of a throw, one number each. Only these are tested where
/// nobody names others: every further test makes luck look like a finding, and near copies of one
/// number read as several.
namespace moundwork::relate {

struct Question {
  std::string_view key;  ///< of the catalogue
  std::string_view asks;
};
inline constexpr std::array<Question, 8> questions{{
    {"drive_peak_force_bw", "how hard the back leg drives"},
    {"heel_toe_at_drive_peak", "where the weight stands"},
    {"vertical_peak_force_bw", "how hard the lead foot lands"},
    {"braking_impulse_per_mass", "how much the lead leg brakes"},
    {"braking_timing", "when it brakes"},
    {"stride_length_height", "how long the stride is"},
    {"turning_impulse_after_contact", "how the ground twists the feet"},
    {"balance_path_length", "how far the weight shifts"},
}};

/// The question that a quantity answers; null for one that is there to look at.
[[nodiscard]] constexpr const Question* question_of(std::string_view key) {
  for (const Question& question : questions)
    if (question.key == key) return &question;
  return nullptr;
}

}  // namespace moundwork::relate
