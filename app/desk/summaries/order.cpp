// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/summaries/order.h"

#include <algorithm>

#include "app/desk/state/lab_index.h"
#include "app/lab/listing.h"
#include "app/summary/listing.h"
#include "core/output/write_all.h"

namespace moundwork::desk {
namespace {

summary::SpeedUnit unit_of(SpeedUnit unit) {
  switch (unit) {
    case SpeedUnit::metre_per_second:
      return summary::SpeedUnit::metres_per_second;
    case SpeedUnit::kilometre_per_hour:
      return summary::SpeedUnit::kilometres_per_hour;
    case SpeedUnit::mile_per_hour:
      return summary::SpeedUnit::miles_per_hour;
  }
  return summary::SpeedUnit::metres_per_second;
}

std::vector<std::filesystem::path> all_sessions(const LabFolder& lab) {
  std::vector<std::filesystem::path> files;
  for (const SessionEntry& entry : list_sessions(lab))
    if (entry.problem.empty()) files.push_back(entry.path);
  return files;
}

}  // namespace

std::vector<std::filesystem::path> ordered_sessions(const SummaryOrder& order) {
  if (order.scope == SummaryScope::this_session) {
    if (order.session.empty()) return {};
    return {order.session};
  }
  std::vector<SessionEntry> entries = list_sessions(order.lab);
  std::reverse(entries.begin(), entries.end());  // oldest first
  std::string day;
  for (const SessionEntry& entry : entries)
    if (entry.path == order.session) day = entry.started.substr(0, 10);
  // With no session open, the day is the lab's last.
  if (day.empty() && !entries.empty()) day = entries.back().started.substr(0, 10);
  std::vector<std::filesystem::path> files;
  for (const SessionEntry& entry : entries)
    if (entry.problem.empty() &&
        (order.scope == SummaryScope::everything || entry.started.substr(0, 10) == day))
      files.push_back(entry.path);
  return files;
}

Result<std::vector<std::filesystem::path>> make_ordered(
    const SummaryOrder& order, const std::function<bool(double)>& progress) {
  const auto sessions = ordered_sessions(order);
  if (sessions.empty())
    return fail("the lab's folder", "holds no session of this choice", "open or record one first");
  std::optional<output::LabKey> key;
  if (order.codes) {
    auto read = output::read_or_make_lab_key(order.lab.root / "lab.key");
    if (!read) return tl::make_unexpected(read.error());
    key = *read;
  }
  const auto limits = pitch_counts_of(order.lab);
  if (!limits) return tl::make_unexpected(limits.error());
  // Opened before anything is made: what cannot be listed is not made.
  const auto index = open_index_of(order.lab);
  if (!index) return tl::make_unexpected(index.error());
  std::vector<std::filesystem::path> files;
  if (order.pdf || order.html) {
    summary::Job job;
    job.sessions = sessions;
    job.group = all_sessions(order.lab);
    job.previous = job.group;
    job.out = order.lab.summaries();
    job.paper = order.paper;
    job.pdf = order.pdf;
    job.html = order.html;
    job.speed_unit = unit_of(order.speed);
    job.key = key;
    job.pitch_counts = *limits;
    job.replace = true;
    job.software = "Moundwork " MOUNDWORK_VERSION;
    auto made = summary::make_pages(
        job, [&](double share, const std::string&) { (void)progress(0.8 * share); });
    if (!made) return tl::make_unexpected(made.error());
    if (*index)
      if (auto listed = summary::list_in(**index, *made); !listed)
        return tl::make_unexpected(listed.error());
    for (const summary::MadePage& page : made->pages)
      files.insert(files.end(), page.files.begin(), page.files.end());
    files.insert(files.end(), made->cover.begin(), made->cover.end());
    if (!made->failed.empty() && made->pages.empty())
      return tl::make_unexpected(made->failed.front());
  }
  if (order.tables || order.recordings) {
    output::Wanted wanted;
    wanted.sessions = sessions;
    wanted.out = order.lab.summaries() / "tables";
    wanted.csv = wanted.traces = order.tables;
    wanted.hdf5 = order.tables;
    wanted.c3d = order.recordings;
    wanted.key = key;
    wanted.replace = true;
    auto written = output::write_all(
        wanted, [&](double share, const std::string&) { (void)progress(0.8 + 0.2 * share); });
    if (!written) return tl::make_unexpected(written.error());
    if (*index)
      if (auto listed = lab::list_in(**index, *written); !listed)
        return tl::make_unexpected(listed.error());
    for (const output::WrittenFile& file : written->files) files.push_back(file.path);
  }
  return files;
}

Result<summary::Summary> preview_of(const std::filesystem::path& session, const LabFolder& lab,
                                    SpeedUnit speed) {
  const auto source = summary::read_source(session);
  if (!source) return tl::make_unexpected(source.error());
  const auto limits = pitch_counts_of(lab);
  if (!limits) return tl::make_unexpected(limits.error());
  summary::Context context;
  context.pitch_counts = *limits;
  context.speed_unit = unit_of(speed);
  context.software = "Moundwork " MOUNDWORK_VERSION;
  for (const auto& file : all_sessions(lab))
    if (auto other = relate::read_analysed_session(file); other && other->id != source->analysed.id)
      context.sessions.push_back(std::move(*other));
  context.group = summary::group_from_sessions(context.sessions, source->session.athlete,
                                               "in the lab's folder, of any age");
  return summary::summarise(*source, context);
}

}  // namespace moundwork::desk
