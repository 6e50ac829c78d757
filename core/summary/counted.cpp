// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/counted.h"

#include "core/base/sentence.h"
#include "core/session/edit_state.h"
#include "core/session/throw_fields.h"

namespace moundwork::summary {

CountedThrows counted_throws(const session::ResultSet& results,
                             const std::vector<session::Edit>& edits) {
  CountedThrows counted;
  const bool current = session::facts_in(results, edits);
  for (const auto& one : results.throws) {
    const session::EditState state = session::state_of(edits, seconds(one.contact));
    if (state.excluded) {
      counted.excluded.push_back({one.number, state.excluded->why});
      continue;
    }
    if (!session::counts(state)) {
      counted.excluded.push_back({one.number, sentence("warm-up")});
      continue;
    }
    if (!current || !session::moves_in(one, state)) counted.moved_since.push_back(one.number);
    ++counted.types[session::fields_of(state.tags).pitch_type];
    counted.throws.push_back(one);
  }
  return counted;
}

Measured value_of(const std::vector<session::ResultValue>& values, std::string_view key) {
  for (const auto& value : values)
    if (value.key == key) return value.measured;
  return {};
}

}  // namespace moundwork::summary
