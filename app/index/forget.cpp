// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/forget.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <set>

#include "app/index/store.h"
#include "core/base/lab_file.h"
#include "core/base/wall_time.h"
#include "core/base/write_file.h"
#include "core/people/athlete_files.h"
#include "core/people/roster_file.h"
#include "core/session/file_lock.h"
#include "core/session/reader.h"
#include "core/session/results.h"
#include "core/weigh_in/weigh_in_file.h"

namespace moundwork::index {
namespace {

using namespace Qt::StringLiterals;
using std::filesystem::path;

QVariant text(const std::string& value) { return QString::fromStdString(value); }

path with_ending(path file, const char* ending) {
  file += ending;
  return file;
}

// Weigh-ins of the athlete that the lab's folder keeps beside its sessions, or beside their folder.
std::vector<path> weigh_ins_near(const path& session, const std::string& athlete) {
  std::vector<path> found;
  const path folder = session.parent_path();
  for (const path& root : {folder, folder.parent_path()}) {
    std::error_code problem;
    for (std::filesystem::directory_iterator file(root / "weigh-ins", problem), end;
         !problem && file != end; file.increment(problem)) {
      if (file->path().extension() != ".toml") continue;
      const auto weigh_in = weigh_in::read_weigh_in(file->path());
      if (weigh_in && weigh_in->athlete == athlete) found.push_back(file->path());
    }
  }
  return found;
}

// What kills left of files that were to take this one's place.
void add_left_over(const path& file, std::vector<path>& candidates) {
  std::error_code problem;
  for (const auto& entry : std::filesystem::directory_iterator(file.parent_path(), problem))
    if (is_working_file_of(entry.path(), file)) candidates.push_back(entry.path());
  candidates.push_back(with_ending(file, ".part"));
}

// Companions of the session beside its file that were set aside or kept.
void add_retired(const path& file, const std::string& session_id, std::vector<path>& candidates) {
  std::error_code problem;
  for (const auto& entry : std::filesystem::directory_iterator(file.parent_path(), problem))
    if (session::is_retired_companion(entry.path()) &&
        session::owner_of(entry.path()).session_id == session_id)
      candidates.push_back(entry.path());
}

// What belongs to a session file and is not in `taken` yet: its companion, the pages that are put
// beside it under its name, the truth of a simulated one, weigh-ins, and what a kill leaves of
// each.
std::vector<path> files_of_session(const path& file, const std::string& session_id,
                                   const std::string& athlete, std::set<path>& taken) {
  std::vector<path> candidates = weigh_ins_near(file, athlete);
  for (const people::FileBeside& one : people::files_beside_session) {
    path beside = file;
    beside.replace_extension(one.ending);
    add_left_over(beside, candidates);
    if (one.kind != people::FileKind::companion || !people::is_of_another(beside, session_id))
      candidates.push_back(beside);
  }
  add_retired(file, session_id, candidates);
  const path copy = session::continue_folder(file);
  for (const path& one :
       {with_ending(copy / file.filename(), ".part"), copy / file.filename(), copy})
    candidates.push_back(one);
  // The session last: while it is there the rest is known to belong to it.
  for (const path& one : {with_ending(file, ".recording"), with_ending(file, ".part"), file})
    candidates.push_back(one);
  std::vector<path> there;
  std::error_code problem;
  for (const path& one : candidates)
    if (std::filesystem::exists(one, problem) && taken.insert(one).second) there.push_back(one);
  return there;
}

Reach reach_of(const Index& index, const std::string& station, const path& file) {
  if (station != index.station) return Reach::elsewhere;
  std::error_code problem;
  if (std::filesystem::exists(file, problem)) return Reach::here;
  return gone(file) ? Reach::gone : Reach::away;
}

// Whether the file holds the session that it is listed for. A file that cannot be read may be that
// session, damaged: only another identity says no.
bool holds_other(const path& file, const std::string& session) {
  const auto reader = session::Reader::open(file);
  return reader && reader->session().id != session;
}

void measure(Doomed& doomed) {
  for (const path& file : doomed.files) {
    std::error_code problem;
    const auto size = std::filesystem::file_size(file, problem);
    if (!problem) doomed.bytes += size;
  }
}

Result<int> count(const Index& index, const QString& statement, const std::string& athlete) {
  auto found = run(index.connection, statement, {text(athlete)});
  if (!found) return tl::make_unexpected(found.error());
  return found->next() ? found->value(0).toInt() : 0;
}

std::string why_out_of_reach(const Doomed& doomed) {
  if (doomed.reach == Reach::elsewhere)
    return fmt::format("lies on station {}; it has to be deleted there", doomed.station);
  return "its folder is not there; connect its disk or share, then have the athlete deleted again";
}

// Whether nothing deleted is left in the database's files, as far as this side can see to it.
Result<bool> clear_rows(const Index& index, const ForgetPlan& plan,
                        const std::vector<LeftBehind>& left) {
  auto transaction = Transaction::begin(index.connection);
  if (!transaction) return tl::make_unexpected(transaction.error());
  std::optional<Error> error;
  const auto step = [&](const QString& statement, const QVariantList& values) {
    if (error) return;
    if (const auto done = run(index.connection, statement, values); !done) error = done.error();
  };
  const QVariant athlete = text(plan.athlete.id);
  const QVariant now = text(iso_now());
  step(
      uR"(INSERT INTO forgotten_sessions (session, forgotten)
           SELECT id, ? FROM sessions WHERE athlete = ? ON CONFLICT (session) DO NOTHING)"_s,
      {now, athlete});
  for (const Doomed& doomed : plan.listed) {
    if (doomed.kind == Doomed::Kind::found) continue;
    std::string problem;
    for (const LeftBehind& one : left)
      if (one.station == doomed.station && one.path == doomed.path) problem = one.problem;
    const bool is_session = doomed.kind == Doomed::Kind::session;
    const QString table = is_session ? u"locations"_s : u"exports"_s;
    const QString which = u" WHERE station = ? AND path = ?"_s;
    // An export that is gone is gone for all athletes in it; one that is left stays listed for
    // them.
    if (problem.empty())
      step(u"DELETE FROM "_s + table + which, {text(doomed.station), text(doomed.path)});
    else
      step(u"UPDATE "_s + table + u" SET problem = ?"_s + which,
           {text(problem), text(doomed.station), text(doomed.path)});
  }
  for (const QString& table : {u"throws"_s, u"means"_s, u"edits"_s})
    step(u"DELETE FROM "_s + table +
             u" WHERE session IN (SELECT id FROM sessions WHERE athlete = ?)"_s,
         {athlete});
  step(
      uR"(DELETE FROM sessions WHERE athlete = ? AND NOT EXISTS
             (SELECT 1 FROM locations WHERE locations.session = sessions.id))"_s,
      {athlete});
  step(
      uR"(UPDATE sessions SET name = '', born = '', started = '', day = '', origin = '', age = NULL, mass = NULL, height = NULL,
             surface = '', made = '', software = '', changed = '', throw_count = 0,
             excluded_count = 0 WHERE athlete = ?)"_s,
      {athlete});
  step(
      uR"(DELETE FROM athletes WHERE id = ?
             AND NOT EXISTS (SELECT 1 FROM sessions WHERE sessions.athlete = athletes.id)
             AND NOT EXISTS (SELECT 1 FROM exports WHERE exports.athlete = athletes.id))"_s,
      {athlete});
  step(
      u"UPDATE athletes SET name = '', throws = '', born = '', as_of = '', forgotten = ? WHERE id = ?"_s,
      {now, athlete});
  if (error) return tl::make_unexpected(*error);
  if (auto done = transaction->commit(); !done) return tl::make_unexpected(done.error());
  if (index.connection.engine() == Engine::postgresql) return false;
  // The write-ahead log still holds the old pages until it has been taken over and cut.
  auto cut = run(index.connection, u"PRAGMA wal_checkpoint(TRUNCATE)"_s);
  if (!cut) return tl::make_unexpected(cut.error());
  return cut->next() && cut->value(0).toInt() == 0;
}

// What the index lists.
Result<void> add_listed(const Index& index, ForgetPlan& plan, std::set<path>& taken) {
  const std::string& id = plan.athlete.id;
  const auto of_sessions = [](const QString& table) {
    return u"SELECT count(*) FROM "_s + table +
           u" WHERE session IN (SELECT id FROM sessions WHERE athlete = ?)"_s;
  };
  for (const auto& [number, statement] :
       {std::pair{&plan.sessions, u"SELECT count(*) FROM sessions WHERE athlete = ?"_s},
        std::pair{&plan.throws, of_sessions(u"throws"_s)},
        std::pair{&plan.edits, of_sessions(u"edits"_s)}}) {
    const auto counted = count(index, statement, id);
    if (!counted) return tl::make_unexpected(counted.error());
    *number = *counted;
  }

  const auto listed = sessions(index, id);
  if (!listed) return tl::make_unexpected(listed.error());
  const auto made = exports(index, id);
  if (!made) return tl::make_unexpected(made.error());
  // Shown once, where the index lists it.
  for (const ListedExport& one : *made)
    if (one.location.station == index.station) taken.insert(one.location.path);
  for (const ListedSession& session : *listed) {
    for (const Location& location : session.locations) {
      Doomed doomed{Doomed::Kind::session,
                    session.id,
                    location.station,
                    location.path,
                    "session",
                    Reach::here,
                    0,
                    0,
                    {}};
      doomed.reach = reach_of(index, location.station, location.path);
      if (doomed.reach == Reach::here) {
        if (holds_other(location.path, session.id)) {
          doomed.reach = Reach::other;
          add_retired(location.path, session.id, doomed.files);
          taken.insert(doomed.files.begin(), doomed.files.end());
        } else
          doomed.files = files_of_session(location.path, session.id, id, taken);
      } else if (doomed.reach == Reach::gone) {
        // A companion outlives a session file that was deleted by hand.
        doomed.files = files_of_session(location.path, session.id, id, taken);
      }
      measure(doomed);
      plan.listed.push_back(std::move(doomed));
    }
  }
  for (const ListedExport& one : *made) {
    Doomed doomed{Doomed::Kind::exported,
                  {},
                  one.location.station,
                  one.location.path,
                  one.kind,
                  Reach::here,
                  0,
                  one.others,
                  {}};
    doomed.reach = reach_of(index, one.location.station, one.location.path);
    // What a kill left is there even where the export itself is not.
    if (doomed.reach == Reach::here || doomed.reach == Reach::gone) {
      std::vector<path> candidates;
      add_left_over(one.location.path, candidates);
      candidates.emplace_back(one.location.path);
      for (const path& file : candidates)
        if (std::error_code problem; std::filesystem::exists(file, problem)) {
          doomed.files.push_back(file);
          taken.insert(file);
        }
    }
    measure(doomed);
    plan.listed.push_back(std::move(doomed));
  }
  return {};
}

// What the folder holds besides.
Result<void> add_found(const path& lab, const std::string& station, ForgetPlan& plan,
                       std::set<path>& taken) {
  std::set<std::string> sessions;
  for (const Doomed& doomed : plan.listed)
    if (!doomed.session.empty()) sessions.insert(doomed.session);
  const auto found = people::find_files_of(lab, plan.athlete.id, sessions);
  if (!found) return tl::make_unexpected(found.error());
  plan.labs.push_back(lab);
  plan.on_roster = plan.on_roster || found->on_roster;
  for (const people::AthleteFile& file : found->files) {
    if (!taken.insert(file.path).second) continue;
    plan.listed.push_back({Doomed::Kind::found,
                           file.session,
                           station,
                           file.path.string(),
                           people::word_for(file.kind),
                           Reach::here,
                           file.bytes,
                           0,
                           {file.path}});
  }
  for (const path& file : found->perhaps)
    if (!taken.contains(file)) plan.perhaps.push_back(file);
  for (const path& file : found->shared)
    if (!taken.contains(file)) plan.shared.push_back(file);
  return {};
}

// Sessions of the folder that are being recorded, without their endings: what stands beside them
// stays as well.
std::vector<std::string> under_way(const ForgetPlan& plan) {
  std::vector<std::string> stems;
  for (const Doomed& doomed : plan.listed) {
    if (doomed.kind != Doomed::Kind::found || doomed.session.empty()) continue;
    if (const auto lock = session::FileLock::acquire(doomed.path); !lock)
      stems.push_back(path(doomed.path).replace_extension().string());
  }
  return stems;
}

// The id of somebody who is named by it, or by a name that only one on these rosters has.
std::string id_on_roster(const std::vector<path>& labs, const std::string& who) {
  std::set<std::string> named;
  for (const path& lab : labs) {
    const auto roster = people::read_roster_file(lab / "roster.csv");
    if (!roster) continue;
    for (const people::RosterAthlete& athlete : roster->athletes) {
      if (athlete.id == who) return who;
      if (athlete.name == who) named.insert(athlete.id);
    }
  }
  return named.size() == 1 ? *named.begin() : who;
}

}  // namespace

Result<ForgetPlan> plan_forgetting(const Index* index, const std::vector<path>& labs,
                                   const std::string& who) {
  ForgetPlan plan;
  std::set<path> taken, folders;
  // As the index writes paths, so that no file is shown twice.
  const auto add_folder = [&](const path& lab) {
    std::error_code problem;
    const auto canonical = std::filesystem::weakly_canonical(lab, problem);
    folders.insert(problem ? lab : canonical);
  };
  for (const path& lab : labs) add_folder(lab);
  bool known = false;
  plan.athlete.id = id_on_roster(labs, who);
  if (index != nullptr) {
    auto athlete = find_athlete(*index, who);
    // A lab's folder may hold somebody whom the index does not know.
    if (!athlete && labs.empty()) return tl::make_unexpected(athlete.error());
    known = athlete.has_value();
    if (known) {
      plan.athlete = std::move(*athlete);
      if (auto listed = add_listed(*index, plan, taken); !listed)
        return tl::make_unexpected(listed.error());
      for (const Doomed& doomed : plan.listed)
        if (doomed.kind == Doomed::Kind::session && doomed.reach != Reach::elsewhere)
          if (const auto lab = lab_home_of(doomed.path)) add_folder(*lab);
    }
  }
  for (const path& lab : folders)
    if (auto found = add_found(lab, index == nullptr ? std::string() : index->station, plan, taken);
        !found)
      return tl::make_unexpected(found.error());
  if (!known && plan.listed.empty() && plan.shared.empty() && !plan.on_roster)
    return fail(who, "is nobody of whom the lab's folder holds anything",
                "give the id, as it stands in the sessions");
  return plan;
}

Result<Forgotten> carry_out(const Index* index, const ForgetPlan& plan) {
  Forgotten done;
  const std::vector<std::string> recording = under_way(plan);
  for (const Doomed& doomed : plan.listed) {
    std::string problem;
    if (doomed.kind == Doomed::Kind::found &&
        std::any_of(recording.begin(), recording.end(),
                    [&](const std::string& stem) { return doomed.path.starts_with(stem); })) {
      done.left.push_back({doomed.station, doomed.path, "its session is being written"});
      continue;
    }
    switch (doomed.reach) {
      case Reach::here:
      case Reach::gone:
        problem = people::delete_files(
            doomed.session.empty() || doomed.reach == Reach::gone ? path() : path(doomed.path),
            doomed.session, doomed.files, done.deleted);
        break;
      case Reach::elsewhere:
      case Reach::away:
        problem = why_out_of_reach(doomed);
        break;
      case Reach::other:
        done.not_ours.push_back(doomed.path);
        problem = people::delete_files({}, {}, doomed.files, done.deleted);
        break;
    }
    if (!problem.empty()) done.left.push_back({doomed.station, doomed.path, problem});
  }
  for (const path& lab : plan.labs) {
    const auto off = plan.take_off_roster ? people::take_off_roster(lab, plan.athlete.id)
                                          : people::keep_id_from_others(lab, plan.athlete.id);
    if (!off)
      done.left.push_back({{}, (lab / "roster.csv").string(), off.error().what});
    else
      done.off_roster = done.off_roster || (plan.take_off_roster && *off);
  }
  if (index == nullptr) return done;
  const auto cleared = clear_rows(*index, plan, done.left);
  if (!cleared) {
    Error error = cleared.error();
    error.what =
        fmt::format("{} deleted, but the index still lists them: {}",
                    done.deleted.size() == 1 ? std::string("1 file was")
                                             : fmt::format("{} files were", done.deleted.size()),
                    error.what);
    error.remedy = Remedy::forget_again;
    error.advice = advice_of(error.remedy);
    return Failure(std::move(error));
  }
  if (!*cleared)
    done.remarks.push_back(
        index->connection.engine() == Engine::sqlite
            ? "other programs have the index open: its log holds deleted rows until they close it"
            : "the server's files hold deleted rows until its owner has them vacuumed");
  return done;
}

}  // namespace moundwork::index
