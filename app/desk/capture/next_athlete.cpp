// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/next_athlete.h"

#include "app/desk/state/weigh_ins.h"

namespace moundwork::desk {

QString shown_name(const RosterAthlete& athlete) {
  return QString::fromStdString(athlete.name.empty() ? athlete.id : athlete.name);
}

NextAthlete next_athlete(const LabFolder& lab, const RosterAthlete* athlete,
                         const std::string& day) {
  NextAthlete next;
  if (athlete == nullptr) return next;
  next.name = shown_name(*athlete);
  next.missing = QString::fromStdString(consent_missing(*athlete, day));
  const auto weighed = last_weigh_in(lab, athlete->id, day);
  if (!weighed)
    next.without = QStringLiteral("no weigh-in today");
  else if (!weighed->foot_line)
    next.without = QStringLiteral("no foot line today");
  return next;
}

}  // namespace moundwork::desk
