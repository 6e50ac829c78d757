// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/people/roster_athlete.h"

#include <array>
#include <stdexcept>

#include "core/table/csv_cell.h"

namespace moundwork::people {
namespace {

// In the order of the file's columns.
enum Field { id, name, born, throws, height, mass, foot_length, consent, guardian_consent, notes };

constexpr std::array<const char*, roster_field_count> columns{
    "id",      "name",          "born",    "throws",           "height_m",
    "mass_kg", "foot_length_m", "consent", "guardian_consent", "notes"};

}  // namespace

const char* roster_column(int field) { return columns.at(static_cast<std::size_t>(field)); }

std::string roster_text(const RosterAthlete& athlete, int field) {
  switch (static_cast<Field>(field)) {
    case id:
      return athlete.id;
    case name:
      return athlete.name;
    case born:
      return athlete.born;
    case throws:
      return athlete.throws == session::Hand::left ? "left" : "right";
    case height:
      return table::number_cell(athlete.height);
    case mass:
      return table::number_cell(athlete.mass);
    case foot_length:
      return table::number_cell(athlete.foot_length);
    case consent:
      return athlete.consent;
    case guardian_consent:
      return athlete.guardian_consent;
    case notes:
      return athlete.notes;
  }
  throw std::logic_error("a field that the roster does not have");
}

void take_field(RosterAthlete& athlete, const RosterAthlete& from, int field) {
  switch (static_cast<Field>(field)) {
    case id:
      athlete.id = from.id;
      break;
    case name:
      athlete.name = from.name;
      break;
    case born:
      athlete.born = from.born;
      break;
    case throws:
      athlete.throws = from.throws;
      break;
    case height:
      athlete.height = from.height;
      break;
    case mass:
      athlete.mass = from.mass;
      break;
    case foot_length:
      athlete.foot_length = from.foot_length;
      break;
    case consent:
      athlete.consent = from.consent;
      break;
    case guardian_consent:
      athlete.guardian_consent = from.guardian_consent;
      break;
    case notes:
      athlete.notes = from.notes;
      break;
  }
}

bool same(const RosterAthlete& one, const RosterAthlete& other) {
  for (int field = 0; field < roster_field_count; ++field)
    if (roster_text(one, field) != roster_text(other, field)) return false;
  return true;
}

}  // namespace moundwork::people
