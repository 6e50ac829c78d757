// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/summary/job.h"

#include <fmt/format.h>

#include <algorithm>
#include <system_error>

#include "core/base/staged_files.h"
#include "core/base/write_file.h"
#include "core/output/file_names.h"
#include "core/output/pseudonymous.h"
#include "core/session/identity.h"
#include "core/summary/content.h"
#include "core/summary/html.h"
#include "core/summary/pseudonymous.h"

namespace moundwork::summary {
namespace {

namespace fs = std::filesystem;

// Reading takes most of the time, drawing the rest.
constexpr double reading_share = 0.6;

struct ReadSession {
  fs::path path;
  Source source;
  std::string athlete;  // as the file has it
  std::optional<Group> group;
  people::DayThrows beside;
};

// A lab's folder may hold a session that was not analysed yet: it keeps nobody's page from being
// made. Where none can be read, a name was mistyped.
Result<std::vector<relate::AnalysedSession>> read_others(const std::vector<fs::path>& paths,
                                                         std::vector<Error>& remarks) {
  std::vector<relate::AnalysedSession> sessions;
  std::vector<Error> left_out;
  for (const fs::path& path : paths) {
    auto session = relate::read_analysed_session(path);
    if (session)
      sessions.push_back(std::move(*session));
    else
      left_out.push_back(session.error());
  }
  if (sessions.empty() && !left_out.empty()) return tl::make_unexpected(left_out.front());
  for (Error& error : left_out) {
    error.what += ", so nobody is compared with it";
    // The same folder may be given as earlier sessions and as the others.
    if (std::none_of(remarks.begin(), remarks.end(),
                     [&](const Error& known) { return known.sentence() == error.sentence(); }))
      remarks.push_back(std::move(error));
  }
  return sessions;
}

// Where the pages of one session go, before anything is drawn.
struct Planned {
  fs::path folder;
  std::string stem;
};

class Maker {
 public:
  Maker(const Job& job, const Progress& progress)
      : job_(job), progress_(progress), files_(job.replace) {}
  Result<MadePages> run();

 private:
  Result<void> read();
  Result<void> set_groups();
  void hide_names();
  Result<void> write_all();
  template <class Page>
  Result<std::vector<fs::path>> write(const Page& page, const fs::path& folder,
                                      const std::string& stem);
  Planned plan(const ReadSession& session) const;

  const Job& job_;
  const Progress& progress_;
  StagedFiles files_;
  std::vector<ReadSession> sessions_;
  std::vector<relate::AnalysedSession> others_;  // this job's own and the earlier ones
  std::vector<relate::AnalysedSession> others_of_group_;
  MadePages made_;
};

Result<void> Maker::read() {
  for (std::size_t i = 0; i < job_.sessions.size(); ++i) {
    const fs::path& path = job_.sessions[i];
    const double part = reading_share / static_cast<double>(job_.sessions.size());
    const double done = part * static_cast<double>(i);
    bool wanted = goes_on(progress_, done);
    if (!wanted) return stopped("summarise");
    auto source = read_source(path, [&](double share) {
      wanted = wanted && goes_on(progress_, done + part * share);
      return wanted;
    });
    if (!wanted) return stopped("summarise");
    if (!source) {
      if (job_.sessions.size() == 1) return tl::make_unexpected(source.error());
      made_.failed.push_back(source.error());
      continue;
    }
    std::string athlete = identity_of(source->session.athlete);
    sessions_.push_back({path, std::move(*source), std::move(athlete), {}, {}});
  }
  if (sessions_.empty())
    return fail("summarise", "none of the sessions could be summarised",
                "the first says: " + made_.failed.front().sentence());
  // Before names go: whose throws they are is told by them.
  std::vector<fs::path> around = people::sessions_around(job_.sessions);
  around.insert(around.end(), job_.previous.begin(), job_.previous.end());
  const people::ThrowsByDay by_day(around);
  for (ReadSession& session : sessions_) session.beside = by_day.beside(session.source.session);
  auto previous = read_others(job_.previous, made_.remarks);
  if (!previous) return tl::make_unexpected(previous.error());
  others_ = std::move(*previous);
  std::erase_if(others_, [&](const relate::AnalysedSession& other) {
    return std::any_of(sessions_.begin(), sessions_.end(), [&](const ReadSession& session) {
      const session::Athlete& athlete = session.source.session.athlete;
      const bool another = identity_of(athlete) == identity_of(other.athlete) &&
                           session::births_differ(athlete.born, other.athlete.born);
      if (another)
        made_.remarks.push_back({other.file,
                                 "is of another person under the same id, by the date of birth, so "
                                 "nothing is compared with it",
                                 "give each an id of their own"});
      return another;
    });
  });
  for (const ReadSession& session : sessions_) others_.push_back(session.source.analysed);
  return {};
}

Result<void> Maker::set_groups() {
  auto files = read_others(job_.group, made_.remarks);
  if (!files) return tl::make_unexpected(files.error());
  others_of_group_ = std::move(*files);
  std::vector<relate::AnalysedSession> day;
  for (const ReadSession& session : sessions_) day.push_back(session.source.analysed);
  for (ReadSession& session : sessions_) {
    const session::Athlete& athlete = session.source.session.athlete;
    const auto wanted = [&](GroupFrom from) {
      return group_wanted(session.source.age, job_.others, from);
    };
    if (wanted(job_.group_from).why_none == NoGroup::no_age)
      made_.remarks.push_back({session.path.string(),
                               "has no date of birth, so its athlete is not set beside others of "
                               "like age",
                               {}});
    if (job_.group_of) {
      auto group = job_.group_of(athlete, wanted(GroupFrom::lab_index));
      if (!group) return tl::make_unexpected(group.error());
      session.group = std::move(*group);
    } else if (!others_of_group_.empty()) {
      session.group = group_from_sessions(others_of_group_, athlete, wanted(job_.group_from));
    } else if (day.size() > 1) {
      session.group = group_from_sessions(day, athlete, wanted(GroupFrom::together));
    }
  }
  return {};
}

void Maker::hide_names() {
  if (!job_.key) return;
  output::Pseudonyms codes(*job_.key);
  // Reasons and notes may name anyone: also those of the group, and whoever made edits.
  for (const auto* sessions : {&others_, &others_of_group_})
    for (const auto& other : *sessions) output::know_people(other, codes);
  for (auto& other : others_) output::pseudonymise(other, codes);
  for (ReadSession& session : sessions_) pseudonymise(session.source, codes);
}

Planned Maker::plan(const ReadSession& session) const {
  Planned planned{job_.out.value_or(session.path.parent_path()), session.path.stem().string()};
  const std::string& id = session.source.analysed.id;
  // A file's name may hold a person's.
  if (job_.key) {
    planned.stem = fmt::format("{}_{}", session.source.analysed.athlete.id, id);
    return planned;
  }
  // Day folders have files of one name.
  const auto of_this_name = std::count_if(
      sessions_.begin(), sessions_.end(),
      [&](const ReadSession& other) { return other.path.stem() == session.path.stem(); });
  if (job_.out && of_this_name > 1) planned.stem += '_' + output::session_in_name(id);
  return planned;
}

template <class Page>
Result<std::vector<fs::path>> Maker::write(const Page& page, const fs::path& folder,
                                           const std::string& stem) {
  std::vector<fs::path> targets;
  if (job_.pdf) {
    targets.push_back(folder / (stem + ".pdf"));
    const auto working = files_.add(targets.back());
    if (!working) return tl::make_unexpected(working.error());
    if (auto done = write_pdf(page, *working, job_.paper); !done)
      return tl::make_unexpected(done.error());
  }
  if (job_.html) {
    targets.push_back(folder / (stem + ".html"));
    const auto working = files_.add(targets.back());
    if (!working) return tl::make_unexpected(working.error());
    if (auto done = write_file(*working, to_html(page)); !done)
      return tl::make_unexpected(done.error());
  }
  return targets;
}

Result<void> Maker::write_all() {
  std::vector<Summary> summaries;
  for (std::size_t i = 0; i < sessions_.size(); ++i) {
    const ReadSession& session = sessions_[i];
    const double written = static_cast<double>(i) / static_cast<double>(sessions_.size());
    if (!goes_on(progress_, reading_share + (1.0 - reading_share) * written))
      return stopped("summarise");
    Context context;
    context.speed_unit = job_.speed_unit;
    context.sessions = others_;
    context.group = session.group;
    context.beside = session.beside;
    context.pitch_counts = job_.pitch_counts;
    context.software = job_.software;
    context.invented = job_.invented;
    summaries.push_back(summarise(session.source, context));
    const Summary& summary = summaries.back();
    const Planned planned = plan(session);
    auto files = write(summary, planned.folder, planned.stem + ".summary");
    if (!files) return tl::make_unexpected(files.error());
    made_.pages.push_back({session.path, session.source.analysed.id, session.athlete, summary.who,
                           summary.throws_counted, summary.throws_found, std::move(*files)});
  }
  if (job_.sessions.size() < 2) return {};
  std::vector<std::string> failed;
  for (const Error& error : made_.failed)
    // A file's name may hold a person's.
    failed.push_back(job_.key ? Error{"a session", error.what, error.advice}.sentence()
                              : error.sentence());
  const Cover cover = cover_of(summaries, std::move(failed), !job_.key, job_.software);
  auto files = write(cover, job_.out.value_or(sessions_.front().path.parent_path()), "cover-sheet");
  if (!files) return tl::make_unexpected(files.error());
  made_.cover = std::move(*files);
  return {};
}

Result<MadePages> Maker::run() {
  if (auto done = read(); !done) return tl::make_unexpected(done.error());
  if (auto done = set_groups(); !done) return tl::make_unexpected(done.error());
  hide_names();
  if (auto done = write_all(); !done) return tl::make_unexpected(done.error());
  if (!goes_on(progress_, 1.0)) return stopped("summarise");
  if (auto done = files_.put_in_place(); !done) return tl::make_unexpected(done.error());
  return std::move(made_);
}

}  // namespace

Result<std::vector<fs::path>> session_files(const std::vector<std::string>& places) {
  std::vector<fs::path> files;
  for (const std::string& place : places) {
    std::error_code problem;
    if (!fs::is_directory(place, problem)) {
      files.emplace_back(place);
      continue;
    }
    std::vector<fs::path> inside;
    for (fs::directory_iterator entry(place, problem), end; !problem && entry != end;
         entry.increment(problem))
      if (entry->path().extension() == ".h5") inside.push_back(entry->path());
    if (problem) return fail(place, "cannot be read: " + problem.message(), "check the folder");
    if (inside.empty()) return fail(place, "holds no session files (*.h5)", "check the folder");
    std::sort(inside.begin(), inside.end());
    files.insert(files.end(), inside.begin(), inside.end());
  }
  return files;
}

Result<MadePages> make_pages(const Job& job, const Progress& progress) {
  return Maker(job, progress).run();
}

}  // namespace moundwork::summary
