// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/growth.h"

#include <cmath>

#include "core/base/sentence.h"
#include "core/base/shown_number.h"

namespace moundwork::relate {
namespace {

// Three digits, whatever the unit: body mass to a tenth of a kilogram, height to a centimetre.
std::string grown_text(double value, const std::string& unit) {
  return with_unit(rounded(value, 0.1 * value), unit);
}

std::optional<Grown> grown(const Days& days, const std::string& athlete, const std::string& from,
                           const std::string& to, double Pitch::*member, const std::string& unit) {
  const Grown both{days.of_athlete(athlete, from, member), days.of_athlete(athlete, to, member),
                   unit};
  if (!std::isfinite(both.from) || !std::isfinite(both.to)) return std::nullopt;
  if (grown_text(both.from, unit) == grown_text(both.to, unit)) return std::nullopt;
  return both;
}

std::string growth_words(const Growth& growth) {
  const auto text = [](const std::optional<Grown>& grown, double Grown::*when) {
    return grown ? grown_text((*grown).*when, grown->unit) : std::string();
  };
  const auto mass_from = "mass_from"_is(text(growth.mass, &Grown::from));
  const auto mass_to = "mass_to"_is(text(growth.mass, &Grown::to));
  const auto height_from = "height_from"_is(text(growth.height, &Grown::from));
  const auto height_to = "height_to"_is(text(growth.height, &Grown::to));
  if (!growth.height)
    return sentence("Between the two days body mass went from {mass_from} to {mass_to}.", mass_from,
                    mass_to);
  if (!growth.mass)
    return sentence("Between the two days height went from {height_from} to {height_to}.",
                    height_from, height_to);
  return sentence(
      "Between the two days body mass went from {mass_from} to {mass_to} and height from "
      "{height_from} to {height_to}.",
      mass_from, mass_to, height_from, height_to);
}

}  // namespace

std::optional<Growth> growth_of(const Pitches& pitches, const Days& days,
                                const std::string& athlete, const std::string& from,
                                const std::string& to) {
  Growth growth;
  growth.mass = grown(days, athlete, from, to, &Pitch::mass, pitches.mass_unit);
  growth.height = grown(days, athlete, from, to, &Pitch::height, pitches.height_unit);
  if (!growth.mass && !growth.height) return std::nullopt;
  growth.says = growth_words(growth);
  return growth;
}

}  // namespace moundwork::relate
