// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/pseudonymous.h"

#include "core/session/edit.h"
#include "core/session/fact.h"

namespace moundwork::output {
namespace {

session::Athlete person(const std::string& name) {
  session::Athlete one;
  one.name = name;
  return one;
}

}  // namespace

void know_people(const relate::AnalysedSession& session, Pseudonyms& codes) {
  codes.know(session.athlete);
  codes.know(session.recorded);
  for (const session::Edit& edit : session.edits) {
    codes.know(person(edit.who));
    // A name or date that was put right stands in the session's free texts as well.
    session::Session corrected;
    session::apply_facts({&edit, 1}, corrected);
    codes.know(corrected.athlete);
  }
}

void pseudonymise(relate::AnalysedSession& session, const Pseudonyms& codes) {
  session.athlete = codes.replaced(session.athlete);
  session.id = codes.session_code(session.id);
  session.file = session.id;
  session.recorded = session.athlete;
  for (session::ResultThrow& one : session.results.throws)
    for (session::ResultFlag& flag : one.flags) flag.detail = codes.cleaned(flag.detail);
  for (session::Edit& edit : session.edits) {
    // Whoever it is, however short the name.
    if (!edit.who.empty()) edit.who = codes.athlete_code(person(edit.who));
    for (std::string* text : {&edit.why, &edit.text}) *text = codes.cleaned(*text);
    if (edit.action == session::Action::set_fact) edit.text.clear();  // says who it is
    // Another action's target is an event's key or a day.
    if (edit.action == session::Action::tag) edit.target = codes.cleaned(edit.target);
  }
}

}  // namespace moundwork::output
