// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/measured.h"
#include "core/base/result.h"
#include "core/session/edit.h"

/// Moments that a high-speed video or a worn sensor shows and force plates do not, by number of
/// frame (or of the sensor's sample).
namespace moundwork::marks {

enum class BodyMark { greatest_trunk_stretch, chest_facing_plate, release };
inline constexpr int body_mark_count = 3;
[[nodiscard]] std::string_view key_of(BodyMark mark);
[[nodiscard]] std::string_view name_of(BodyMark mark);
[[nodiscard]] std::optional<BodyMark> find_body_mark(std::string_view key);

/// One reading: which frame shows the moment and which the lead foot's landing, in one recording.
struct FrameMark {
  BodyMark mark = BodyMark::greatest_trunk_stretch;
  double frame = 0.0;
  double contact_frame = 0.0;
  double rate = 0.0;  ///< frames (samples) a second
};

/// Seconds from lead contact. Each of the two readings may be half a frame off to either side,
/// equally likely: u = sqrt(2) (1 / 2 rate) / sqrt(3) (JCGM 100, 4.3.7).
[[nodiscard]] Measured from_contact(const FrameMark& mark);

/// Fails on frames and rates that no camera gives.
[[nodiscard]] Result<void> check(const FrameMark& mark, std::string_view where);
/// For who gives a mark: fails also on a release that does not come after the landing, as when two
/// frames were mistaken for each other.
[[nodiscard]] Result<void> check_given(const FrameMark& mark, std::string_view where);

/// When a coach wants to see a moment, s from lead contact (negative is before).
struct WantedTime {
  double from = 0.0;
  double to = 0.0;
};
enum class Timing { early, on_time, late, cannot_tell };
/// Early or late only when the whole interval of u's double lies outside; on time only when the
/// value lies inside.
[[nodiscard]] Timing judge(const Measured& time, const WantedTime& wanted);
[[nodiscard]] std::string_view to_text(Timing timing);

/// As an edit of the session's list, and back (nothing for other edits, or frames that no camera
/// gives). `when` and `who` are the caller's.
[[nodiscard]] session::Edit to_edit(const FrameMark& mark, double throw_contact);
[[nodiscard]] std::optional<FrameMark> frame_mark_of(const session::Edit& edit);
/// The marks of a throw that stand after all edits, the last of each kind.
[[nodiscard]] std::vector<FrameMark> marks_of(std::span<const session::Edit> edits,
                                              double throw_contact);

struct NumberedMark {
  int throw_number = 0;
  FrameMark mark;
};
/// Delimited text with the columns throw, mark (a key of the three), frame, contact_frame and rate.
[[nodiscard]] Result<std::vector<NumberedMark>> read_frame_marks(const std::filesystem::path& path);

}  // namespace moundwork::marks
