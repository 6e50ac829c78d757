// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/kinds/list.h"

#include <array>
#include <stdexcept>

namespace moundwork::desk {

// One line a kind, whose folder defines `const ShownKind& NAME_shown()`.
#define MOUNDWORK_EACH_KIND(KIND) KIND(radar) KIND(light_gate)

#define MOUNDWORK_DECLARE(name) [[nodiscard]] const ShownKind& name##_shown();
MOUNDWORK_EACH_KIND(MOUNDWORK_DECLARE)
#undef MOUNDWORK_DECLARE

std::span<const ShownKind* const> shown_kinds() {
#define MOUNDWORK_ENTRY(name) &name##_shown(),
  static const std::array all{MOUNDWORK_EACH_KIND(MOUNDWORK_ENTRY)};
#undef MOUNDWORK_ENTRY
  return all;
}

const ShownKind& shown_kind(std::string_view key) {
  for (const ShownKind* kind : shown_kinds())
    if (kind->key == key) return *kind;
  throw std::logic_error("a kind of events that the window cannot show");
}

QString metres(double length) { return QString::number(length, 'f', 2) + QStringLiteral(" m"); }

}  // namespace moundwork::desk
