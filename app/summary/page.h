// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>

#include "app/summary/sheet.h"
#include "core/summary/content.h"
#include "core/summary/cover.h"

namespace moundwork::summary {

/// An athlete's summary on one page, whatever it holds, within `box`.
void draw_page(Sheet& sheet, const Summary& summary, const Box& box);

/// The lab's sheet from row `first` on; returns the first row that found no room.
[[nodiscard]] std::size_t draw_cover(Sheet& sheet, const Cover& cover, const Box& box,
                                     std::size_t first);

}  // namespace moundwork::summary
