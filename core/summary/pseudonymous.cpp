// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/pseudonymous.h"

namespace moundwork::summary {
namespace {

void clean(std::vector<session::ResultThrow>& throws, const output::Pseudonyms& codes) {
  for (auto& one : throws)
    for (auto& flag : one.flags) flag.detail = codes.cleaned(flag.detail);
}

}  // namespace

void pseudonymise(relate::AnalysedSession& session, const output::Pseudonyms& codes) {
  session.athlete = codes.replaced(session.athlete);
  session.id = codes.session_code(session.id);
  session.file = session.id;
  clean(session.results.throws, codes);
  for (auto& edit : session.edits) {
    edit.who.clear();
    edit.why = codes.cleaned(edit.why);
    edit.text = codes.cleaned(edit.text);
  }
}

void pseudonymise(Source& source, const output::Pseudonyms& codes) {
  pseudonymise(source.analysed, codes);
  source.session.athlete = source.analysed.athlete;
  source.session.id = source.analysed.id;
  source.session.conditions.surface = codes.cleaned(source.session.conditions.surface);
  clean(source.counted.throws, codes);
  for (auto& one : source.counted.excluded) one.why = codes.cleaned(one.why);
}

}  // namespace moundwork::summary
