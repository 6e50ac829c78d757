// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "core/base/result.h"
#include "core/definitions/settings.h"
#include "core/session/results.h"

namespace moundwork::session {

/// The settings that results were computed under; one that they do not name is its default. Fails
/// where they cannot be read or name one that this version does not know: what is read from the
/// samples again would not go with them. `where` is for the sentence.
[[nodiscard]] Result<definitions::Settings> settings_of(const ResultSet& results,
                                                        const std::string& where);

}  // namespace moundwork::session
