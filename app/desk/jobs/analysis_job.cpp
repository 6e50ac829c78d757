// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/jobs/analysis_job.h"

#include "app/desk/state/lab_index.h"
#include "app/desk/state/open_session.h"
#include "app/index/store.h"
#include "core/base/wall_time.h"
#include "core/pitch/analysis.h"
#include "core/pitch/companion_check.h"
#include "core/session/reader.h"
#include "core/session/results.h"

namespace moundwork::desk {
namespace {

// Where the lab keeps an index, it follows what is measured.
Result<void> enter_in_index(const LabFolder& lab, const std::filesystem::path& session) {
  // A session of practice may be open while the lab is the real one.
  if (is_practice(session.parent_path().parent_path())) return {};
  const auto index = open_index_of(lab);
  if (!index) return tl::make_unexpected(index.error());
  if (!*index) return {};
  const auto entry = index::read_entry(session);
  if (!entry) return tl::make_unexpected(entry.error());
  if (auto put = index::put(**index, *entry); !put) return tl::make_unexpected(put.error());
  return {};
}

Result<void> analyse(const LabFolder& lab, const std::filesystem::path& session,
                     JobControl& control) {
  const auto reader = session::Reader::open(session);
  if (!reader) return tl::make_unexpected(reader.error());
  const auto settled = pitch::settle_companion(*reader);
  if (!settled) return tl::make_unexpected(settled.error());
  const definitions::Settings settings;
  const auto analysis =
      pitch::analyse(*reader, settings, [&](double share) { return control.progress(share); });
  if (!analysis && control.cancelled())
    return fail(session.filename().string(),
                "measuring it was stopped, so its numbers are those of before",
                "look at it under Review to measure it again");
  if (!analysis) return tl::make_unexpected(analysis.error());
  if (auto written =
          session::append_results(session, pitch::to_results(*analysis, settings, iso_now()));
      !written)
    return written;
  if (auto entered = enter_in_index(lab, session); !entered) return entered;
  if (*settled) return fail(session.filename().string(), "was measured anew: " + **settled);
  return {};
}

}  // namespace

void analyse_session(Jobs& jobs, QObject* owner, const LabFolder& lab,
                     const std::filesystem::path& session,
                     const std::function<void(const Result<void>&)>& done) {
  jobs.run(
      QStringLiteral("Measuring ") + QString::fromStdString(session.filename().string()), owner,
      [lab, session](JobControl& control) { return analyse(lab, session, control); },
      [done](const Result<void>& result) { done(result); },
      // Where Stop came too late the new numbers stand, and are shown.
      [done](const Result<void>& result) { done(result); });
}

}  // namespace moundwork::desk
