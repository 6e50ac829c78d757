// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/fact.h"

#include <array>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include "core/session/edit_state.h"

namespace moundwork::session {
namespace {

struct Entry {
  std::string_view key, unit;
};
// In the order of Fact.
constexpr std::array<Entry, fact_count> entries{{{"athlete", ""},
                                                 {"name", ""},
                                                 {"born", ""},
                                                 {"throws", ""},
                                                 {"mass", "kg"},
                                                 {"height", "m"},
                                                 {"temperature", "degC"},
                                                 {"pressure", "Pa"},
                                                 {"humidity", "1"}}};

void apply(const Edit& edit, Fact fact, Session& session) {
  Athlete& athlete = session.athlete;
  const Measured number{edit.value, edit.u};
  switch (fact) {
    case Fact::athlete:
      athlete.id = edit.text;
      return;
    case Fact::name:
      athlete.name = edit.text;
      return;
    case Fact::born:
      athlete.born = edit.text;
      return;
    case Fact::throws:
      athlete.throws = edit.text == "left" ? Hand::left : Hand::right;
      return;
    case Fact::mass:
      athlete.mass = number;
      return;
    case Fact::height:
      athlete.height = number;
      return;
    case Fact::temperature:
      session.conditions.temperature = number;
      return;
    case Fact::pressure:
      session.conditions.pressure = number;
      return;
    case Fact::humidity:
      session.conditions.relative_humidity = number;
      return;
  }
}

// A guessed line lies along the rubber, the toes on the side that the throwing hand says, and is as
// long as the height says.
void follow(const Athlete& before, Session& session) {
  if (!session.foot_line || session.foot_line->source != FootLineSource::foot_length) return;
  FootLine& line = *session.foot_line;
  const Athlete& athlete = session.athlete;
  if (before.throws != athlete.throws) std::swap(line.heel, line.toe);
  // A foot that was measured does not grow with the height: only a length that is the usual share
  // of the height came from it.
  const double length = (line.toe - line.heel).norm();
  if (!before.height.known() || !athlete.height.known() ||
      std::abs(length - foot_over_height * before.height.value) > 1e-6)
    return;
  const Eigen::Vector3d middle = 0.5 * (line.heel + line.toe);
  const double ratio = athlete.height.value / before.height.value;
  Eigen::Vector3d moved = middle;
  // Half a breadth ahead of the rubber, where it was put there.
  if (const double ahead = 0.5 * foot_breadth_over_length * length;
      std::abs(middle.x() - ahead) < 1e-6)
    moved.x() = ratio * ahead;
  line.heel = moved + ratio * (line.heel - middle);
  line.toe = moved + ratio * (line.toe - middle);
}

}  // namespace

std::string_view key_of(Fact fact) { return entries.at(static_cast<std::size_t>(fact)).key; }

std::optional<Fact> find_fact(std::string_view key) {
  for (std::size_t i = 0; i < entries.size(); ++i)
    if (entries[i].key == key) return static_cast<Fact>(i);
  return std::nullopt;
}

std::string_view unit_of(Fact fact) { return entries.at(static_cast<std::size_t>(fact)).unit; }

Edit set_fact(Fact fact, const Measured& value) {
  Edit edit;
  edit.action = Action::set_fact;
  edit.target = key_of(fact);
  edit.value = value.value;
  edit.u = value.u;
  edit.unit = unit_of(fact);
  return edit;
}

Edit set_fact(Fact fact, const std::string& text) {
  Edit edit;
  edit.action = Action::set_fact;
  edit.target = key_of(fact);
  edit.text = text;
  return edit;
}

void apply_facts(std::span<const Edit> edits, Session& session) {
  const Athlete before = session.athlete;
  const std::vector<bool> stands = standing(edits);
  for (std::size_t place = 0; place < edits.size(); ++place)
    if (stands[place] && edits[place].action == Action::set_fact)
      if (const auto fact = find_fact(edits[place].target)) apply(edits[place], *fact, session);
  follow(before, session);
}

}  // namespace moundwork::session
