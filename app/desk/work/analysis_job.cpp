// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/work/analysis_job.h"

#include "app/desk/state/open_session.h"
#include "core/pitch/analysis.h"

namespace moundwork::desk {
namespace {

Result<void> analyse(const std::filesystem::path& session, JobControl& control) {
  const auto reader = session::Reader::open(session);
  if (!reader) return tl::make_unexpected(reader.error());
  const pitch::Settings settings;
  const auto analysis =
      pitch::analyse(*reader, settings, [&](double share) { return control.progress(share); });
  if (!analysis) return tl::make_unexpected(analysis.error());
  return session::append_results(session, pitch::to_results(*analysis, settings, iso_now()));
}

}  // namespace

void analyse_session(Jobs& jobs, QObject* owner, const std::filesystem::path& session,
                     std::function<void(const Result<void>&)> done) {
  jobs.run(
      QStringLiteral("Measuring ") + QString::fromStdString(session.filename().string()), owner,
      [session](JobControl& control) { return analyse(session, control); },
      [done = std::move(done)](const Result<void>& result) { done(result); });
}

}  // namespace moundwork::desk
