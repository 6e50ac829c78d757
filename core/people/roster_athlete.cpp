// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/people/roster_athlete.h"

#include <algorithm>

#include "core/table/csv_cell.h"

namespace moundwork::people {
namespace {

std::string text_of(const std::string& text) { return text; }
std::string text_of(double number) { return table::number_cell(number); }
std::string text_of(session::Hand hand) { return hand == session::Hand::left ? "left" : "right"; }

}  // namespace

std::string roster_text(const RosterAthlete& athlete, const RosterField& field) {
  return std::visit([&](auto member) { return text_of(athlete.*member); }, field.member);
}

void take_field(RosterAthlete& athlete, const RosterAthlete& from, const RosterField& field) {
  std::visit([&](auto member) { athlete.*member = from.*member; }, field.member);
}

bool same(const RosterAthlete& one, const RosterAthlete& other) {
  return std::all_of(roster_fields.begin(), roster_fields.end(), [&](const RosterField& field) {
    return roster_text(one, field) == roster_text(other, field);
  });
}

}  // namespace moundwork::people
