// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/summary/listing.h"

#include "app/index/store.h"

namespace moundwork::summary {

Result<void> list_in(const index::Index& index, const MadePages& made) {
  std::vector<std::string> everyone;
  for (const MadePage& page : made.pages) {
    everyone.push_back(page.athlete);
    for (const auto& file : page.files)
      if (auto done = index::list_export(index, {file, "summary", {page.athlete}}); !done)
        return done;
  }
  for (const auto& file : made.cover)
    if (auto done = index::list_export(index, {file, "cover sheet", everyone}); !done) return done;
  return {};
}

}  // namespace moundwork::summary
