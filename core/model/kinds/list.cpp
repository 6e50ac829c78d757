// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/kinds/list.h"

#include <algorithm>

namespace moundwork::model {

// One line a kind, whose folder defines `const ModelKind& NAME_model()`.
#define MOUNDWORK_EACH_KIND(KIND) KIND(light_gate)

#define MOUNDWORK_DECLARE(name) [[nodiscard]] const ModelKind& name##_model();
MOUNDWORK_EACH_KIND(MOUNDWORK_DECLARE)
#undef MOUNDWORK_DECLARE

std::span<const ModelKind* const> model_kinds() {
#define MOUNDWORK_ENTRY(name) &name##_model(),
  static const std::vector<const ModelKind*> all{MOUNDWORK_EACH_KIND(MOUNDWORK_ENTRY)};
#undef MOUNDWORK_ENTRY
  return all;
}

const ModelKind* model_kind(std::string_view key) {
  const auto all = model_kinds();
  const auto found =
      std::find_if(all.begin(), all.end(), [&](const ModelKind* kind) { return kind->key == key; });
  return found == all.end() ? nullptr : *found;
}

}  // namespace moundwork::model
