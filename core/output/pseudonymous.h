// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/output/pseudonym.h"
#include "core/relate/session_input.h"

namespace moundwork::output {

/// Lets `codes` know the session's athlete and whoever made edits, before texts are cleaned: also
/// texts of other sessions may name them.
void know_people(const relate::AnalysedSession& session, Pseudonyms& codes);

/// Codes in place of everything that tells who a session is of, for whatever leaves the lab: the
/// athlete, the session's identity and file (both are its code), who made edits; what people typed
/// and what flags say is cleaned of everyone whom `codes` knows. The date of birth goes: what needs
/// an age takes it before.
void pseudonymise(relate::AnalysedSession& session, const Pseudonyms& codes);

}  // namespace moundwork::output
