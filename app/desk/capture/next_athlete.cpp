// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/next_athlete.h"

#include "app/desk/state/weigh_ins.h"
#include "core/base/sentence.h"
#include "core/base/shown_number.h"
#include "core/weigh_in/weigh_in.h"

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
  else if (weigh_in::differs_from_list(weighed->mass, athlete->mass))
    next.without = QString::fromStdString(
        sentence("weighed in with {weighed} kg, the roster says {listed} kg: one is wrong",
                 "weighed"_is(plain_text(weighed->mass.value, 1)),
                 "listed"_is(plain_text(athlete->mass, 1))));
  else if (!weighed->foot_line)
    next.without = QStringLiteral("no foot line today");
  return next;
}

}  // namespace moundwork::desk
