// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

#include "core/summary/drawing.h"

namespace moundwork::summary {

/// Text with the characters that mark up has for itself written as entities; control characters,
/// which no page may hold, are left out.
[[nodiscard]] std::string escaped(std::string_view text);

/// A drawing as an <svg> element (SVG 1.1) to stand in a page: its text stays text, its title and
/// description are told to those who do not see it. `id` must be unique in the page.
[[nodiscard]] std::string to_svg(const Drawing& drawing, std::string_view id);

}  // namespace moundwork::summary
