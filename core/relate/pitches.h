// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <limits>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/base/measured.h"
#include "core/session/cue_order.h"

/// What goes with ball speed, and how surely: from a plain list of pitches to findings in words.
namespace moundwork::relate {

struct Quantity {
  std::string key;     ///< of the catalogue, or the column's name as it stands in the table
  std::string unit;    ///< empty when the source does not tell
  bool tested = true;  ///< false: looked at beside the others, without a verdict
};

/// One pitch. Unknown values are NaN, unknown uncertainties too; unknown text is empty.
struct Pitch {
  std::string athlete;
  std::string session;
  std::string block;  ///< within a session, for cues given block by block
  std::string cue;    ///< empty: no cue was given
  std::string pitch_type;
  std::string delivery;
  std::string ball;  ///< what was thrown, where not all throw the same
  double effort = std::numeric_limits<double>::quiet_NaN();  ///< 0 to 1 of the greatest
  /// Where the order of cues was drawn by chance; which cue was given `cue` says.
  std::optional<session::DrawnCue> drawn = std::nullopt;
  double number = std::numeric_limits<double>::quiet_NaN();  ///< of the pitch in its session
  double mass = std::numeric_limits<double>::quiet_NaN();    ///< of the athlete, any one unit
  double height = std::numeric_limits<double>::quiet_NaN();  ///< likewise
  double age = std::numeric_limits<double>::quiet_NaN();     ///< likewise, on the day of the throw
  Measured ball_speed;
  std::vector<Measured> quantities;  ///< one for each of Pitches::quantities
  /// Standard uncertainty that all throws of the session share: ball speed's, then one for each of
  /// the quantities. Empty where nothing tells it.
  std::vector<double> shared_u;
};

/// A session that somebody named as one that repeats another, nothing changed on purpose.
struct Retest {
  std::string athlete;
  std::string session;
  std::string of;  ///< the session that it repeats

  friend bool operator==(const Retest&, const Retest&) = default;
};

/// Values in whatever unit their Quantity names: nothing here depends on SI.
struct Pitches {
  Quantity ball_speed{"ball_speed", "m/s"};
  std::vector<Quantity> quantities;
  std::vector<Pitch> rows;
  std::vector<Retest> retests;
  std::string mass_unit, height_unit;  ///< of Pitch::mass and Pitch::height; empty: not known
  std::vector<std::string> notes;      ///< what the source's reader wants said, one sentence each
  /// By athlete, what sentences call them where that is not Pitch::athlete itself.
  std::map<std::string, std::string> names;
};

[[nodiscard]] inline const std::string& shown_name(const Pitches& pitches,
                                                   const std::string& athlete) {
  const auto name = pitches.names.find(athlete);
  return name == pitches.names.end() ? athlete : name->second;
}

}  // namespace moundwork::relate
