// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <vector>

#include "core/base/result.h"
#include "core/output/tidy.h"
#include "core/session/kinds/kind.h"

namespace moundwork::output {

/// What one instrument sent in one session.
struct SentEvents {
  const session::Kind* kind = nullptr;
  std::string instrument;
  const ExportedSession* session = nullptr;
  std::vector<session::InstrumentEvent> events;
};

/// Instruments' names and what they sent are free texts like any other: codes stand for people.
void pseudonymise(SentEvents& sent, const Pseudonyms& codes);

/// A table for each kind among them, "KIND_WORD": a row an event, with
/// its athlete, session, instrument and arrival, and the columns of the kind.
[[nodiscard]] std::vector<Table> event_tables(std::span<const SentEvents> sent);

}  // namespace moundwork::output
