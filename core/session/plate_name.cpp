// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/plate_name.h"

#include <algorithm>

#include "core/base/sentence.h"

namespace moundwork::session {
namespace {

std::string numbered(std::size_t place, std::size_t all, const std::string& what) {
  if (all < 2) return what;
  switch (place) {
    case 0:
      return sentence("first {what}", "what"_is(what));
    case 1:
      return sentence("second {what}", "what"_is(what));
    case 2:
      return sentence("third {what}", "what"_is(what));
    case 3:
      return sentence("fourth {what}", "what"_is(what));
    default:
      return sentence("{what} no. {place}", "what"_is(what), "place"_is(std::to_string(place + 1)));
  }
}

}  // namespace

std::string plate_name(PlateRole role) {
  return role == PlateRole::back ? sentence("back plate") : sentence("lead plate");
}

std::string plates_of_foot(const Session& session, PlateRole role) {
  const bool back = role == PlateRole::back;
  const auto serving = std::count_if(session.plates.begin(), session.plates.end(),
                                     [role](const Plate& plate) { return plate.role == role; });
  if (serving < 2) return back ? sentence("the back plate") : sentence("the lead plate");
  return back ? sentence("the back plates together") : sentence("the lead plates together");
}

std::string plate_ordinal(const Session& session, std::size_t index) {
  const auto& plates = session.plates;
  const PlateRole role = plates.at(index).role;
  const auto serves = [role](const Plate& plate) { return plate.role == role; };
  const auto here = plates.begin() + static_cast<std::ptrdiff_t>(index);
  return numbered(static_cast<std::size_t>(std::count_if(plates.begin(), here, serves)),
                  static_cast<std::size_t>(std::count_if(plates.begin(), plates.end(), serves)),
                  role == PlateRole::back ? sentence("back") : sentence("lead"));
}

std::string plate_name(const Session& session, std::size_t index) {
  return sentence("{which} plate", "which"_is(plate_ordinal(session, index)));
}

std::string other_plate_name(const Plate& plate) {
  if (plate.number == 0) return sentence("a plate");
  return sentence("plate {number} of the imported file", "number"_is(std::to_string(plate.number)));
}

}  // namespace moundwork::session
