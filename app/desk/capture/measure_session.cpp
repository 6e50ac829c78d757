// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/measure_session.h"

#include "app/desk/state/open_session.h"
#include "core/session/reader.h"
#include "core/session/results.h"

namespace moundwork::desk {

Result<pitch::Analysis> measure_session(const std::filesystem::path& file, JobControl& control) {
  const auto reader = session::Reader::open(file);
  if (!reader) return tl::make_unexpected(reader.error());
  const pitch::Settings settings;
  auto analysis =
      pitch::analyse(*reader, settings, [&](double share) { return control.progress(share); });
  if (!analysis || control.cancelled()) return analysis;
  if (auto kept = session::append_results(file, pitch::to_results(*analysis, settings, iso_now()));
      !kept)
    return tl::make_unexpected(kept.error());
  return analysis;
}

}  // namespace moundwork::desk
