// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/weigh_in_words.h"

#include <cmath>

#include "core/base/sentence.h"
#include "core/base/shown_number.h"
#include "core/base/units.h"
#include "core/weigh_in/weigh_in.h"

namespace moundwork::desk {
namespace {

/// A foot of this length, or of this height's usual one, is set against the rubber.
bool foot_can_be_estimated(const RosterAthlete& athlete) {
  return std::isfinite(athlete.foot_length) || std::isfinite(athlete.height);
}

std::string mass_words(const weigh_in::WeighIn& kept, const RosterAthlete& before) {
  const auto weighed = "weighed"_is(plain_text(kept.mass.value, 1));
  const auto listed = "listed"_is(plain_text(before.mass, 1));
  if (!goes_to_roster(kept, before))
    return sentence(
        "Weighed in with {weighed} kg, but the roster says {listed} kg and keeps it: were both "
        "feet on the plates? Weigh in again, or type the mass into the roster if that is wrong.",
        weighed, listed);
  if (!std::isfinite(before.mass))
    return sentence("Weighed in with {weighed} kg, which the roster has now too.", weighed);
  if (weighed.text == listed.text)
    return sentence("Weighed in with {weighed} kg, as the roster has it.", weighed);
  return sentence("Weighed in, and the roster's mass has changed from {listed} kg to {weighed} kg.",
                  listed, weighed);
}

std::string foot_words(const weigh_in::WeighIn& kept, const RosterAthlete& athlete) {
  if (kept.foot_line)
    return sentence(
        "The foot's line holds for today while the foot is put down in the same place.");
  return foot_can_be_estimated(athlete)
             ? sentence("The foot's line is an estimate, from its length.")
             : sentence("The foot's line is not known.");
}

}  // namespace

bool goes_to_roster(const weigh_in::WeighIn& weighed, const RosterAthlete& before) {
  return !weigh_in::differs_from_list(weighed.mass, before.mass);
}

QString kept_words(const weigh_in::WeighIn& kept, const RosterAthlete& before) {
  return QString::fromStdString(mass_words(kept, before) + ' ' + foot_words(kept, before));
}

QString standing_words(const weigh_in::WeighIn& last, const RosterAthlete& athlete) {
  const auto mass = "mass"_is(moundwork::measured_text(last.mass));
  return QString::fromStdString(last.foot_line ? sentence("{mass} kg, foot known", mass)
                                : foot_can_be_estimated(athlete)
                                    ? sentence("{mass} kg, foot estimated", mass)
                                    : sentence("{mass} kg, foot not known", mass));
}

QString feet_words(const drivers::LiveFeet& feet) {
  const auto carried = [&](session::PlateRole role) {
    const drivers::LiveTrace* foot = feet.find(role);
    const double force = foot == nullptr ? 0.0 : static_cast<double>(foot->latest().force[2]);
    return plain_text(force / standard_gravity, 1);
  };
  return QString::fromStdString(sentence("Back foot {back} kg, lead foot {lead} kg.",
                                         "back"_is(carried(session::PlateRole::back)),
                                         "lead"_is(carried(session::PlateRole::lead))));
}

}  // namespace moundwork::desk
