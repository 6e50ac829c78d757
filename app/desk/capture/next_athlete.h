// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <string>

#include "app/desk/state/lab_folder.h"
#include "app/desk/state/roster.h"

namespace moundwork::desk {

/// What is known of whoever throws next, before anything is recorded. Without a widget.
struct NextAthlete {
  QString name;
  /// What stands against a recording: no consent; empty when nothing does.
  QString missing;
  /// What a recording would do without, today's weigh-in, or that it is not the roster's mass;
  /// empty when nothing.
  QString without;
};

/// `athlete` is null when nobody is chosen; `day` is an ISO 8601 date. Reads the day's weigh-ins.
[[nodiscard]] NextAthlete next_athlete(const LabFolder& lab, const RosterAthlete* athlete,
                                       const std::string& day);

/// The athlete's name, or the id of one without a name.
[[nodiscard]] QString shown_name(const RosterAthlete& athlete);

}  // namespace moundwork::desk
