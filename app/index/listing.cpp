// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/listing.h"

#include "app/index/store.h"

namespace moundwork::index {

Result<void> list_in(const Index& index, const output::Written& written) {
  for (const output::WrittenFile& file : written.files) {
    if (file.athletes.empty()) continue;
    const Export listed{std::filesystem::absolute(file.path), file.kind, file.athletes};
    if (auto done = list_export(index, listed); !done) return done;
  }
  return {};
}

}  // namespace moundwork::index
