// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/jobs/analysis_job.h"

#include "app/desk/state/open_session.h"
#include "app/lab/store.h"
#include "core/pitch/analysis.h"

namespace moundwork::desk {
namespace {

// Where the lab has an index (MOUNDWORK_INDEX), it follows what is measured.
Result<void> enter_in_index(const std::filesystem::path& session) {
  const auto index = lab::open_index_if_named({}, lab::Access::write);
  if (!index) return tl::make_unexpected(index.error());
  if (!*index) return {};
  const auto entry = lab::read_entry(session);
  if (!entry) return tl::make_unexpected(entry.error());
  if (auto put = lab::put(**index, *entry); !put) return tl::make_unexpected(put.error());
  return {};
}

Result<void> analyse(const std::filesystem::path& session, JobControl& control) {
  const auto reader = session::Reader::open(session);
  if (!reader) return tl::make_unexpected(reader.error());
  const pitch::Settings settings;
  const auto analysis =
      pitch::analyse(*reader, settings, [&](double share) { return control.progress(share); });
  if (!analysis) return tl::make_unexpected(analysis.error());
  if (auto written =
          session::append_results(session, pitch::to_results(*analysis, settings, iso_now()));
      !written)
    return written;
  return enter_in_index(session);
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
