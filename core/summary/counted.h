// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <map>
#include <string>
#include <vector>

#include "core/session/edit.h"
#include "core/session/identity.h"
#include "core/session/results.h"
#include "core/session/session.h"

namespace moundwork::summary {

struct ExcludedThrow {
  int number = 0;
  std::string why;
};

/// The throws that count after a person's edits, and those that do not: taken out by hand, or
/// warm-ups. What was found is both, as a day's pitches are counted.
struct CountedThrows {
  std::vector<session::ResultThrow> throws;
  std::vector<ExcludedThrow> excluded;
  std::map<std::string, int> types;  ///< how many of each pitch type; empty text: not told
  std::vector<int>
      moved_since;  ///< counted, but with events moved or facts corrected after the analysis

  [[nodiscard]] int found() const { return static_cast<int>(throws.size() + excluded.size()); }
};
[[nodiscard]] CountedThrows counted_throws(const session::ResultSet& results,
                                           const std::vector<session::Edit>& edits);

/// A throw's value of a quantity or event by key; NaN where it has none.
[[nodiscard]] Measured value_of(const std::vector<session::ResultValue>& values,
                                std::string_view key);

}  // namespace moundwork::summary
