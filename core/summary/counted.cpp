// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/counted.h"

#include <cmath>

namespace moundwork::summary {

CountedThrows counted_throws(const session::ResultSet& results,
                             const std::vector<session::Edit>& edits) {
  // An edit names its throw by the time of lead contact, which a new analysis may shift by some
  // milliseconds; throws lie seconds apart.
  constexpr double same_throw = 0.25;  // s
  CountedThrows counted;
  for (const auto& one : results.throws) {
    bool excluded = false;
    std::string why;
    for (const auto& edit : edits) {
      if (std::abs(edit.throw_contact - seconds(one.contact)) > same_throw) continue;
      if (edit.action == "exclude") excluded = true, why = edit.why;
      if (edit.action == "include") excluded = false;
    }
    if (excluded)
      counted.excluded.push_back({one.number, why});
    else
      counted.throws.push_back(one);
  }
  return counted;
}

const std::string& identity_of(const session::Athlete& athlete) {
  return athlete.id.empty() ? athlete.name : athlete.id;
}

Measured value_of(const std::vector<session::ResultValue>& values, std::string_view key) {
  for (const auto& value : values)
    if (value.key == key) return value.measured;
  return {};
}

}  // namespace moundwork::summary
