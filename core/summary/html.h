// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "core/summary/content.h"
#include "core/summary/cover.h"

namespace moundwork::summary {

/// A whole page (HTML 5) that needs nothing else: style and figures are in it, it runs no script
/// and asks no network. It can be printed.
[[nodiscard]] std::string to_html(const Summary& summary);
[[nodiscard]] std::string to_html(const Cover& cover);

}  // namespace moundwork::summary
