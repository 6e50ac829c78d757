// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/session/edit.h"
#include "core/session/session.h"

/// What a session says of its athlete and its air, as a person types it, apart from any widget.
namespace moundwork::desk {

/// Numbers with their unit ("45 kg"); empty where it is not known.
struct FactsForm {
  std::string athlete, name, born;
  bool left_handed = false;
  std::string mass, height, temperature, pressure, humidity;
};

[[nodiscard]] FactsForm facts_of(const session::Session& session);

/// The edits that make the session say what the form says, one for each field that differs from
/// `facts_of` the session; `why` is written into each. Fails in a sentence where a field cannot be
/// read, was emptied, or cannot be a pitcher's or a day's.
[[nodiscard]] Result<std::vector<session::Edit>> corrections(const session::Session& session,
                                                             const FactsForm& form,
                                                             const std::string& why);

}  // namespace moundwork::desk
