// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/result.h"

#include <stdexcept>
#include <utility>

namespace moundwork {

std::string advice_of(Remedy remedy) {
  switch (remedy) {
    case Remedy::none:
      return {};
    case Remedy::another_place:
      return "choose another place";
    case Remedy::another_place_or_replace:
      return "choose another place, or let it be replaced";
    case Remedy::another_file_or_continue:
      return "name another file, or go on with this one";
    case Remedy::lab_key:
      return "say which file holds the lab key, or bring it back from a backup";
    case Remedy::measure:
      return "have it measured (again)";
    case Remedy::import_it:
      return "import recordings of other programs first";
    case Remedy::settings_file:
      return "give a file of import settings with it";
    case Remedy::body_mass:
      return "give it with its unit, as in 88.5kg";
    case Remedy::throwing_hand:
      return "say right or left";
    case Remedy::back_plate:
      return "say which plate the back foot stands on";
    case Remedy::lead_plate:
      return "say which plate the lead foot lands on";
    case Remedy::make_index:
      return "have the index made from the lab's folder";
    case Remedy::make_index_again:
      return "move the file away and have the index made again from the lab's folder";
    case Remedy::another_index:
      return "name another file for the index";
    case Remedy::list_athletes:
      return "give the name or the id as it stands in the lab's list of athletes";
    case Remedy::forget_again:
      return "have the athlete deleted again";
  }
  throw std::logic_error("a remedy without advice");
}

std::string Error::sentence() const {
  std::string text = where.empty() ? what : where + ": " + what;
  if (!advice.empty()) text += "; " + advice;
  // What it says may be another's sentence, which has its full stop.
  return text.ends_with('.') ? text : text + ".";
}

Failure fail(std::string where, std::string what, std::string advice) {
  return Failure(Error{std::move(where), std::move(what), std::move(advice), Remedy::none});
}

Failure fail(std::string where, std::string what, Remedy remedy) {
  return Failure(Error{std::move(where), std::move(what), advice_of(remedy), remedy});
}

}  // namespace moundwork
