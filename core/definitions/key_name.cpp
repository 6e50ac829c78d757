// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/definitions/key_name.h"

#include <algorithm>
#include <stdexcept>

#include "core/base/sentence.h"
#include "core/definitions/quantity_names.h"

namespace moundwork::definitions {

std::string event_name(Event event) {
  switch (event) {
    case Event::back_leg_loaded:
      return sentence("back leg loaded");
    case Event::drive_start:
      return sentence("drive start");
    case Event::drive_peak:
      return sentence("drive peak");
    case Event::lead_contact:
      return sentence("lead contact");
    case Event::back_foot_off:
      return sentence("back foot off");
    case Event::braking_peak:
      return sentence("braking peak");
    case Event::vertical_peak:
      return sentence("vertical peak");
    case Event::release:
      return sentence("release");
    case Event::count:
      break;
  }
  throw std::logic_error("an event without a name");
}

std::string key_name(std::string_view key) {
  if (const auto event = find_event(key)) return event_name(*event);
  if (const auto quantity = find_quantity(key)) return quantity_name(*quantity);
  std::string words(key);
  std::replace(words.begin(), words.end(), '_', ' ');
  return words;
}

}  // namespace moundwork::definitions
