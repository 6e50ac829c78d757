// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/roster.h"

#include "core/base/wall_time.h"

namespace moundwork::desk {

std::optional<int> age_on(const RosterAthlete& athlete, const std::string& day) {
  return age_at(athlete.born, day);
}

std::string consent_missing(const RosterAthlete& athlete, const std::string& day) {
  if (athlete.consent.empty()) return "the athlete's own consent is not noted";
  const auto age = age_on(athlete, day);
  if (!age) return athlete.guardian_consent.empty() ? "the date of birth is not noted" : "";
  if (*age < 18 && athlete.guardian_consent.empty()) return "the guardian's consent is not noted";
  return {};
}

}  // namespace moundwork::desk
