// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/write_all.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <utility>

#include "core/base/staged_files.h"
#include "core/c3d/write.h"
#include "core/output/csv.h"
#include "core/output/event_tables.h"
#include "core/output/hdf5_tables.h"
#include "core/output/pseudonymous.h"
#include "core/output/throw_c3d.h"
#include "core/output/throw_windows.h"
#include "core/output/tidy.h"
#include "core/output/traces.h"
#include "core/session/edit_state.h"
#include "core/session/identity.h"
#include "core/session/kinds/list.h"
#include "core/session/result_settings.h"
#include "core/session/results.h"

namespace moundwork::output {
namespace {

namespace fs = std::filesystem;

// Reading is quick beside writing what every throw looked like.
constexpr double reading_share = 0.1;

struct Source {
  fs::path path;
  std::string athlete;  // id or name, no code
  ExportedSession session;
};

bool into_one_file(const fs::path& out) { return out.extension() == ".hdf5"; }

Result<void> check_place(const Wanted& wanted) {
  const std::string out = wanted.out.string();
  if (into_one_file(wanted.out)) {
    if (!wanted.hdf5 || wanted.csv || wanted.c3d || wanted.traces)
      return fail(out, "can hold HDF5 tables and nothing else",
                  "ask for HDF5 alone, or name a folder");
    if (out.ends_with(".results.hdf5"))
      return fail(out, "is the name of a session's results", "choose another name");
    return {};
  }
  const std::string kind = wanted.out.extension().string();
  if (kind == ".h5" || kind == ".csv" || kind == ".c3d")
    return fail(out, "names one file, where several are written",
                "name a folder, or for HDF5 alone a file that ends in .hdf5");
  return {};
}

struct Sources {
  std::vector<Source> list;
  std::optional<Pseudonyms> codes;  // where they stand for people
};

Result<Sources> read_sessions(const Wanted& wanted, const Progress& progress) {
  std::set<fs::path> companions;
  for (const fs::path& path : wanted.sessions) companions.insert(session::companion_path(path));
  std::vector<fs::path> paths;
  std::copy_if(wanted.sessions.begin(), wanted.sessions.end(), std::back_inserter(paths),
               [&](const fs::path& path) { return !companions.contains(path); });
  if (paths.empty()) return fail("export", "there is nothing to read", "name session files");

  std::vector<std::pair<fs::path, relate::AnalysedSession>> read;
  std::map<std::string, fs::path> seen;
  for (const fs::path& path : paths) {
    const double done = static_cast<double>(read.size()) / static_cast<double>(paths.size());
    if (!goes_on(progress, reading_share * done)) return stopped("export");
    auto one = relate::read_analysed_session(path);
    if (!one) return tl::make_unexpected(one.error());
    if (const auto [first, fresh] = seen.emplace(one->id, path); !fresh)
      return fail(path.string(), "is the same session as " + first->second.string(),
                  "give each session once");
    read.emplace_back(path, std::move(*one));
  }
  std::stable_sort(read.begin(), read.end(), [](const auto& a, const auto& b) {
    return a.second.started < b.second.started;
  });

  Sources sources;
  std::optional<Pseudonyms>& codes = sources.codes;
  if (wanted.key) codes.emplace(*wanted.key);
  if (codes)
    for (const auto& [path, one] : read) know_people(one, *codes);
  for (auto& [path, one] : read) {
    const std::string athlete = session::identity_of(one.athlete);
    sources.list.push_back(
        {path, athlete, codes ? exported(std::move(one), *codes) : exported(std::move(one))});
  }
  return sources;
}

using WriteFile = std::function<Result<void>(const fs::path&)>;

/// Files on their way to their places, and whom each is about.
struct Outbox {
  explicit Outbox(bool replace) : staged(replace) {}
  StagedFiles staged;
  std::vector<WrittenFile> files;
};

Result<void> stage(Outbox& outbox, WrittenFile file, const WriteFile& write) {
  const auto working = outbox.staged.add(file.path);
  if (!working) return tl::make_unexpected(working.error());
  outbox.files.push_back(std::move(file));
  return write(*working);
}

std::vector<std::string> everyone(const std::vector<Source>& sources) {
  std::set<std::string> athletes;
  for (const Source& source : sources) athletes.insert(source.athlete);
  return {athletes.begin(), athletes.end()};
}

/// Of kinds that leave the lab; the others' are in the throws' numbers.
Result<std::vector<SentEvents>> read_events(const Sources& sources) {
  std::vector<SentEvents> sent;
  for (const Source& source : sources.list) {
    const auto reader = session::Reader::open(source.path);
    if (!reader) return tl::make_unexpected(reader.error());
    for (const session::EventSource& one : session::event_sources(reader->session())) {
      if (!one.kind->events->exported) continue;
      auto events = reader->events(*one.kind, one.name);
      if (!events) return tl::make_unexpected(events.error());
      sent.push_back({one.kind, one.name, &source.session, std::move(*events)});
      if (sources.codes) pseudonymise(sent.back(), *sources.codes);
    }
  }
  return sent;
}

Result<void> write_tables(const Wanted& wanted, const Sources& sources, Outbox& outbox) {
  const std::vector<std::string> athletes = everyone(sources.list);
  std::vector<ExportedSession> sessions;
  sessions.reserve(sources.list.size());
  for (const Source& source : sources.list) sessions.push_back(source.session);
  const auto events = read_events(sources);
  if (!events) return tl::make_unexpected(events.error());
  const std::vector<Table> tables = tidy_tables(sessions, event_tables(*events));
  if (wanted.csv)
    for (const Table& table : tables)
      if (auto done = stage(outbox, {wanted.out / (table.name + ".csv"), "table", athletes},
                            [&](const fs::path& path) { return write_csv(table, path); });
          !done)
        return done;
  if (!wanted.hdf5) return {};
  return stage(
      outbox,
      {into_one_file(wanted.out) ? wanted.out : wanted.out / "tables.hdf5", "table", athletes},
      [&](const fs::path& path) { return write_hdf5(tables, path); });
}

// The traces' columns, without what only their cells hold.
Table trace_definitions(const std::vector<Column>& columns) {
  std::vector<std::string> keys, units, definitions;
  for (const Column& column : columns) {
    keys.push_back(column.name);
    units.push_back(column.unit);
    definitions.push_back(column.definition);
  }
  return {"definitions",
          {{"key", "", "", std::move(keys)},
           {"unit", "", "", std::move(units)},
           {"definition", "", "", std::move(definitions)}}};
}

/// Writes what the plates recorded in the throws of one session after the other.
class ThrowFiles {
 public:
  ThrowFiles(const Wanted& wanted, Outbox& outbox) : wanted_(wanted), outbox_(outbox) {}

  Result<void> write(const Source& source, const Progress& progress) {
    athletes_ = {source.athlete};
    const auto reader = session::Reader::open(source.path);
    if (!reader) return tl::make_unexpected(reader.error());
    const auto settings =
        session::settings_of(source.session.session.results, source.path.string());
    if (!settings) return tl::make_unexpected(settings.error());
    const auto windows = ThrowWindows::make(*reader, *settings, piece_of(progress, 0.0, 0.5));
    if (!windows) return tl::make_unexpected(windows.error());
    const auto& foot_line = reader->session().foot_line;
    const std::string stem = file_stem(source.session);
    const auto& found = source.session.session.results.throws;
    for (const session::ResultThrow& one : found) {
      const auto share =
          static_cast<double>(&one - found.data()) / static_cast<double>(found.size());
      if (!goes_on(progress, 0.5 + 0.5 * share)) return stopped("export");
      const auto plates = windows->around(seconds(one.contact));
      if (!plates) return tl::make_unexpected(plates.error());
      const std::string name = fmt::format("{}_throw-{:02}", stem, one.number);
      if (wanted_.c3d)
        if (auto done = write_c3d(source.session, one, *plates, foot_line, name); !done)
          return done;
      if (!wanted_.traces) continue;
      if (auto done = write_traces(*plates, foot_line, *settings, name); !done) return done;
    }
    return {};
  }

  Result<void> write_definitions() {
    if (!wanted_.traces) return {};
    athletes_.clear();
    return write_trace(trace_definitions(columns_), "definitions.csv");
  }

 private:
  // Each foot's, and where several plates serve it, each plate's own.
  Result<void> write_traces(const PlatesOfThrow& plates,
                            const std::optional<session::FootLine>& foot_line,
                            const definitions::Settings& settings, const std::string& name) {
    for (const auto role : {session::PlateRole::back, session::PlateRole::lead}) {
      const bool back = role == session::PlateRole::back;
      const std::string file = name + (back ? "_back" : "_lead");
      const auto line = back ? foot_line : std::nullopt;
      const auto whole = plates.foot(role);
      if (!whole) return tl::make_unexpected(whole.error());
      if (auto done = write_trace(trace_table(*whole, line, settings), file + ".csv"); !done)
        return done;
      const auto serves = [role](const PlateAround& plate) { return plate.role == role; };
      if (std::count_if(plates.plates.begin(), plates.plates.end(), serves) < 2) continue;
      int number = 0;
      for (const PlateAround& plate : plates.plates)
        if (serves(plate))
          if (auto done = write_trace(trace_table(plate.window, line, settings),
                                      fmt::format("{}_plate-{}.csv", file, ++number));
              !done)
            return done;
    }
    return {};
  }

  Result<void> write_c3d(const ExportedSession& session, const session::ResultThrow& one,
                         const PlatesOfThrow& plates,
                         const std::optional<session::FootLine>& foot_line,
                         const std::string& name) {
    const auto recording = throw_recording(session, one, plates, foot_line);
    if (!recording) return tl::make_unexpected(recording.error());
    return stage(outbox_, {wanted_.out / "c3d" / (name + ".c3d"), "recording", athletes_},
                 [&](const fs::path& path) { return c3d::write(*recording, path); });
  }

  Result<void> write_trace(Table table, const std::string& name) {
    auto done = stage(outbox_, {wanted_.out / "traces" / name, "trace", athletes_},
                      [&](const fs::path& path) { return write_csv(table, path); });
    if (table.name == "trace" && table.columns.size() > columns_.size())
      columns_ = std::move(table.columns);
    return done;
  }

  const Wanted& wanted_;
  Outbox& outbox_;
  std::vector<std::string> athletes_;  // whom the files being written are about
  std::vector<Column> columns_;        // of the widest trace so far
};

}  // namespace

Result<Written> write_all(const Wanted& wanted, const Progress& progress) {
  if (auto fits = check_place(wanted); !fits) return tl::make_unexpected(fits.error());
  const auto read = read_sessions(wanted, progress);
  if (!read) return tl::make_unexpected(read.error());
  const std::vector<Source>& sources = read->list;
  Outbox outbox(wanted.replace);
  if (auto done = write_tables(wanted, *read, outbox); !done)
    return tl::make_unexpected(done.error());
  if (wanted.c3d || wanted.traces) {
    ThrowFiles throws(wanted, outbox);
    for (std::size_t i = 0; i < sources.size(); ++i) {
      const double part = (1.0 - reading_share) / static_cast<double>(sources.size());
      const double from = reading_share + part * static_cast<double>(i);
      if (auto done = throws.write(sources[i], piece_of(progress, from, from + part)); !done)
        return tl::make_unexpected(done.error());
    }
    if (auto done = throws.write_definitions(); !done) return tl::make_unexpected(done.error());
  }
  if (!goes_on(progress, 1.0)) return stopped("export");
  if (auto placed = outbox.staged.put_in_place(); !placed)
    return tl::make_unexpected(placed.error());

  Written written;
  written.files = std::move(outbox.files);
  written.sessions = sources.size();
  for (const Source& source : sources)
    for (const session::ResultThrow& one : source.session.session.results.throws) {
      ++written.throws;
      if (session::state_of(source.session.session.edits, seconds(one.contact)).excluded)
        ++written.excluded;
    }
  return written;
}

}  // namespace moundwork::output
