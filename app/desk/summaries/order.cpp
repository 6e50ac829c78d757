// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/summaries/order.h"

#include <algorithm>
#include <optional>

#include "app/desk/state/lab_index.h"
#include "app/index/listing.h"
#include "app/summary/listing.h"
#include "core/base/sentence.h"
#include "core/output/lab_key_place.h"
#include "core/output/write_all.h"

namespace moundwork::desk {
namespace {

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
    if (entry.path == order.session) day = entry.day;
  // With no session open, the day is the lab's last.
  if (day.empty() && !entries.empty()) day = entries.back().day;
  std::vector<std::filesystem::path> files;
  for (const SessionEntry& entry : entries)
    if (entry.problem.empty() && (order.scope == SummaryScope::everything || entry.day == day))
      files.push_back(entry.path);
  return files;
}

namespace {

// Pages take most of the time.
constexpr double pages_share = 0.8;

struct Preparations {
  std::vector<std::filesystem::path> sessions;
  std::optional<output::LabKey> key;
  std::optional<index::Index> index;  // none where the lab keeps none
};

Result<void> make_pages(const SummaryOrder& order, const Preparations& prepared,
                        const Progress& progress, MadeOrder& result) {
  const auto limits = pitch_counts_of(order.lab);
  if (!limits) return tl::make_unexpected(limits.error());
  summary::Job job;
  job.sessions = prepared.sessions;
  job.group = all_sessions(order.lab);
  job.group_from = summary::GroupFrom::lab_folder;
  job.others = order.others;
  job.previous = job.group;
  job.out = order.lab.summaries();
  job.paper = order.paper;
  job.pdf = order.pdf;
  job.html = order.html;
  job.speed_unit = order.speed;
  job.key = prepared.key;
  job.pitch_counts = *limits;
  job.replace = true;
  job.software = "Moundwork " MOUNDWORK_VERSION;
  job.invented = is_practice(order.lab.root);
  auto made = summary::make_pages(job, progress);
  if (!made) return tl::make_unexpected(made.error());
  for (const summary::MadePage& page : made->pages)
    result.files.insert(result.files.end(), page.files.begin(), page.files.end());
  result.files.insert(result.files.end(), made->cover.begin(), made->cover.end());
  if (prepared.index)
    if (auto listed = summary::list_in(*prepared.index, *made); !listed)
      result.unlisted = listed.error();
  result.failed = std::move(made->failed);
  result.remarks = std::move(made->remarks);
  return {};
}

Result<void> make_tables(const SummaryOrder& order, const Preparations& prepared,
                         const Progress& progress, MadeOrder& result) {
  output::Wanted wanted;
  wanted.sessions = prepared.sessions;
  wanted.out = order.lab.summaries() / "tables";
  wanted.csv = wanted.traces = order.tables;
  wanted.hdf5 = order.tables;
  wanted.c3d = order.recordings;
  wanted.key = prepared.key;
  wanted.replace = true;
  auto written = output::write_all(wanted, progress);
  if (!written) return tl::make_unexpected(written.error());
  for (const output::WrittenFile& file : written->files) result.files.push_back(file.path);
  if (prepared.index)
    if (auto listed = index::list_in(*prepared.index, *written); !listed)
      result.unlisted = listed.error();
  return {};
}

}  // namespace

Result<MadeOrder> make_ordered(const SummaryOrder& order, const Progress& progress) {
  Preparations prepared{ordered_sessions(order), {}, {}};
  if (prepared.sessions.empty())
    return fail("the lab's folder", "holds no session of this choice", "open or record one first");
  std::string key_remark;
  if (order.codes) {
    const auto place = output::lab_key_for(prepared.sessions, {});
    if (!place) return tl::make_unexpected(place.error());
    auto read = output::key_of(*place);
    if (!read) return tl::make_unexpected(read.error());
    prepared.key = *read;
    key_remark = place->remark;
  }
  // Opened before anything is made: what cannot be listed is not made.
  auto index = open_index_of(order.lab);
  if (!index) return tl::make_unexpected(index.error());
  prepared.index = std::move(*index);
  const bool pages = order.pdf || order.html;
  const bool tables = order.tables || order.recordings;
  MadeOrder result;
  result.key_remark = std::move(key_remark);
  if (pages)
    if (auto made = make_pages(order, prepared, piece_of(progress, 0.0, tables ? pages_share : 1.0),
                               result);
        !made)
      return tl::make_unexpected(made.error());
  if (!tables) return result;
  if (auto made =
          make_tables(order, prepared, piece_of(progress, pages ? pages_share : 0.0, 1.0), result);
      !made) {
    if (!pages) return tl::make_unexpected(made.error());
    result.without_tables = made.error();
  }
  return result;
}

std::string order_words(const Result<MadeOrder>& made, bool stopped) {
  if (!made)
    return stopped
               ? sentence("Stopped: nothing was made. Files of an earlier time stand as they were.")
               : made.error().sentence();
  const std::size_t count = made->files.size();
  if (made->without_tables)
    return stopped ? sentence(
                         "Stopped: {files} files with pages were made; tables, traces and C3D were "
                         "not, and those of an earlier time stand as they were.",
                         "files"_is(count))
                   : sentence(
                         "{files} files with pages were made; tables, traces and C3D were not: "
                         "{why}",
                         "files"_is(count), "why"_is(made->without_tables->sentence()));
  if (made->unlisted)
    return sentence("{files} files made, but the lab's index does not list them: {why}",
                    "files"_is(count), "why"_is(made->unlisted->sentence()));
  if (!made->failed.empty())
    return sentence("{files} files made. Sessions without a page: {sessions}. The first: {why}",
                    "files"_is(count), "sessions"_is(made->failed.size()),
                    "why"_is(made->failed.front().sentence()));
  const std::string words =
      stopped ? sentence("It was too late to stop: all {files} files were made.", "files"_is(count))
              : sentence("{files} files made.", "files"_is(count));
  return made->key_remark.empty() ? words : words + ' ' + made->key_remark;
}

Result<summary::Summary> preview_of(const std::filesystem::path& session, const LabFolder& lab,
                                    SpeedUnit speed, const summary::OthersAsked& others,
                                    const Progress& progress) {
  const auto source = summary::read_source(session, piece_of(progress, 0.0, 0.5));
  if (!source) return tl::make_unexpected(source.error());
  const auto limits = pitch_counts_of(lab);
  if (!limits) return tl::make_unexpected(limits.error());
  summary::Context context;
  context.pitch_counts = *limits;
  context.speed_unit = speed;
  context.software = "Moundwork " MOUNDWORK_VERSION;
  context.invented = is_practice(lab.root);
  for (const auto& file : all_sessions(lab)) {
    if (!goes_on(progress, 0.5)) return stopped("preview");
    if (auto other = relate::read_analysed_session(file); other && other->id != source->analysed.id)
      context.sessions.push_back(std::move(*other));
  }
  context.group = summary::group_from_sessions(
      context.sessions, source->session.athlete,
      summary::group_wanted(source->age, others, summary::GroupFrom::lab_folder));
  return summary::summarise(*source, context);
}

}  // namespace moundwork::desk
