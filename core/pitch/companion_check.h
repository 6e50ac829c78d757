// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>

#include "core/base/result.h"
#include "core/session/reader.h"

namespace moundwork::pitch {

/// The first companions made do not say whose results they hold. Looks for the session's throws
/// anew, under the settings by which the companion's were found: where each of its contacts is
/// there to 1 ms (of one that was never analysed: most throws that its edits name), it
/// becomes the session's; else it is set aside, and the sentence that says so comes back. Does
/// nothing where the companion says whose it is or there is none. Fails where it is another
/// session's, or what was found cannot be noted.
[[nodiscard]] Result<std::optional<std::string>> settle_companion(const session::Reader& reader);

}  // namespace moundwork::pitch
