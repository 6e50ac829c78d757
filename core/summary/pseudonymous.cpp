// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/pseudonymous.h"

#include "core/output/pseudonymous.h"

namespace moundwork::summary {

void pseudonymise(Source& source, const output::Pseudonyms& codes) {
  output::pseudonymise(source.analysed, codes);
  source.counted = counted_throws(source.analysed.results, source.analysed.edits);
  source.session.athlete = source.analysed.athlete;
  source.session.id = source.analysed.id;
  for (std::string* text : {&source.session.origin, &source.session.conditions.surface})
    *text = codes.cleaned(*text);
}

}  // namespace moundwork::summary
