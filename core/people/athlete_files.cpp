// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/people/athlete_files.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <fstream>
#include <iterator>
#include <map>
#include <optional>
#include <set>
#include <span>
#include <stdexcept>
#include <string_view>
#include <system_error>

#include "core/base/folded_text.h"
#include "core/output/hdf5_tables.h"
#include "core/people/athlete_ids.h"
#include "core/people/roster_change.h"
#include "core/session/companion.h"
#include "core/session/file_lock.h"
#include "core/session/identity.h"
#include "core/session/reader.h"
#include "core/table/delimited.h"
#include "core/weigh_in/weigh_in_file.h"

namespace moundwork::people {
namespace {

namespace fs = std::filesystem;

struct OwnSession {
  fs::path path;
  std::string id;
};

// What tells files of the athlete by their names and cells.
struct Marks {
  std::string identity;
  std::set<std::string> names;  // of the athlete, as sessions and roster have them
  std::vector<OwnSession> sessions;
  std::set<std::string> session_ids;  // of these and of others that are known
  std::set<std::string> foreign_ids;  // of others' sessions
  std::set<std::string> foreign_stems;
  std::vector<std::string> in_names;  // pieces of the names of files that were handed out
  std::set<std::string> cells;        // cells by which a table's row is the athlete's
};

// The name that a half written file was to get: "a.pdf" of "a.pdf.part" and "a.pdf.0f..9e.part".
std::string without_part(std::string name) {
  constexpr std::string_view part = ".part", digits = "0123456789abcdef";
  if (!name.ends_with(part)) return name;
  name.resize(name.size() - part.size());
  constexpr std::size_t chance = 16;
  const auto point = name.rfind('.');
  if (point != std::string::npos && name.size() - point - 1 == chance &&
      name.find_first_not_of(digits, point + 1) == std::string::npos)
    name.resize(point);
  return name;
}

// As file names of tables and traces write an identity.
std::string safe(std::string_view text) {
  std::string name(text);
  for (char& c : name) {
    const bool fine = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                      c == '-' || c == '_' || static_cast<unsigned char>(c) >= 0x80;
    if (!fine) c = '-';
  }
  return name;
}

// Whether a piece stands in a name between underscores, points or its ends.
bool has_piece(std::string_view name, std::string_view piece) {
  const auto ends = [](char c) { return c == '_' || c == '.'; };
  for (std::size_t at = name.find(piece); at != std::string_view::npos;
       at = name.find(piece, at + 1)) {
    const std::size_t after = at + piece.size();
    if ((at == 0 || ends(name[at - 1])) && (after == name.size() || ends(name[after]))) return true;
  }
  return false;
}

// Whether the first megabyte holds the text: attributes of a session stand there as they are.
bool holds_text(const fs::path& path, const std::string& text) {
  if (text.empty()) return false;
  constexpr std::size_t looked_at = 1 << 20;
  std::ifstream file(path, std::ios::binary);
  std::string bytes(looked_at, '\0');
  file.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  bytes.resize(static_cast<std::size_t>(file.gcount()));
  // As a whole: "A1" does not stand in "A10".
  const auto ends = [&](std::size_t at) {
    return at >= bytes.size() || std::isalnum(static_cast<unsigned char>(bytes[at])) == 0;
  };
  for (std::size_t at = bytes.find(text); at != std::string::npos; at = bytes.find(text, at + 1))
    if ((at == 0 || ends(at - 1)) && ends(at + text.size())) return true;
  return false;
}

// By its name, or by its content: people keep copies under other endings.
bool may_be_session(const fs::path& path) {
  if (fs::path(without_part(path.filename().string())).extension() == ".h5") return true;
  constexpr std::string_view signature = "\x89HDF\r\n\x1a\n";
  std::array<char, signature.size()> begins{};
  std::ifstream file(path, std::ios::binary);
  return file.read(begins.data(), begins.size()) &&
         std::string_view(begins.data(), begins.size()) == signature;
}

// Somebody else's session, as it is and as it was recorded.
struct Foreign {
  fs::path path;
  session::Athlete athlete, recorded;
};

// The words of a name, however it is typed and whatever their order.
std::vector<std::u32string> words_of(const std::string& name) {
  std::vector<std::u32string> words(1);
  for (const char32_t letter : folded(name).letters)
    if (is_word_letter(letter))
      words.back() += letter;
    else if (!words.back().empty())
      words.emplace_back();
  if (words.back().empty()) words.pop_back();
  std::sort(words.begin(), words.end());
  return words;
}

bool perhaps_theirs(const Foreign& one, const Marks& marks) {
  if (session::identity_of(one.recorded) == marks.identity) return true;
  for (const std::string* name : {&one.athlete.name, &one.recorded.name}) {
    const auto words = words_of(*name);
    if (!words.empty() && std::any_of(marks.names.begin(), marks.names.end(),
                                      [&](const auto& known) { return words_of(known) == words; }))
      return true;
  }
  return false;
}

void note_session(const fs::path& path, const session::Session& session, Marks& marks) {
  marks.sessions.push_back({path, session.id});
  marks.session_ids.insert(session.id);
  if (!session.athlete.name.empty()) marks.names.insert(session.athlete.name);
  constexpr std::size_t uuid_length = 36, enough_of_uuid = 8;
  marks.in_names.push_back(safe(session.id));
  if (session.id.size() == uuid_length)
    marks.in_names.push_back(safe(session.id.substr(0, enough_of_uuid)));
  marks.cells.insert(session.id);
}

// Codes stand in files that were handed out without names.
void note_codes(const fs::path& lab, Marks& marks) {
  const auto key = output::read_lab_key(lab / "lab.key");
  if (!key) return;
  const output::Pseudonyms codes(*key);
  session::Athlete athlete;
  athlete.id = marks.identity;
  const std::string code = codes.athlete_code(athlete);
  marks.in_names.push_back(code);
  marks.cells.insert(code);
  for (const OwnSession& session : marks.sessions) {
    const std::string session_code = codes.session_code(session.id);
    marks.in_names.push_back(session_code);
    marks.in_names.push_back(code + "_" + session_code);
    marks.cells.insert(session_code);
  }
}

bool names(const Marks& marks, const std::string& cell) {
  return cell == marks.identity || marks.names.contains(cell) || marks.cells.contains(cell);
}

enum class Rows { none, own, shared };

// Whose rows a table has.
Rows rows_in(const fs::path& path, const Marks& marks) {
  auto reader = table::DelimitedReader::open(path);
  if (!reader) return holds_text(path, marks.identity) ? Rows::shared : Rows::none;
  bool own = false, others = false;
  while (true) {
    const auto row = reader->next_text();
    if (!row || !*row) break;
    const bool theirs = std::any_of((*row)->begin(), (*row)->end(),
                                    [&](const std::string& cell) { return names(marks, cell); });
    (theirs ? own : others) = true;
  }
  return !own ? Rows::none : others ? Rows::shared : Rows::own;
}

bool is_weigh_in_of(const fs::path& path, const std::string& identity) {
  const auto read = weigh_in::read_weigh_in(path);
  if (read) return read->athlete == identity;
  // One that cannot be read may be theirs: it was half written, or mistyped.
  return path.parent_path().filename() == "weigh-ins" && holds_text(path, '"' + identity + '"');
}

// What a file beside a session is by its ending; nothing of other endings.
std::optional<FileKind> kind_of_ending(std::string_view ending) {
  for (const auto& [known, kind] : files_beside_session)
    if (ending == known) return kind;
  if (ending == ".h5.recording" || ending == ".h5") return FileKind::leftover;
  return std::nullopt;
}

std::optional<FileKind> kind_beside(const fs::path& path, const std::string& name,
                                    const Marks& marks, bool& doubtful) {
  for (const OwnSession& session : marks.sessions) {
    const std::string bare =
        fs::path(without_part(session.path.filename().string())).stem().string();
    if (!name.starts_with(bare)) continue;
    const auto kind = kind_of_ending(std::string_view(name).substr(bare.size()));
    if (!kind) continue;
    const bool beside = path.parent_path() == session.path.parent_path() ||
                        path.parent_path() == session::continue_folder(session.path);
    if (beside) return kind;
    // Pages of all sessions are put into one folder.
    if (*kind != FileKind::page) continue;
    if (!marks.foreign_stems.contains(bare)) return kind;
    doubtful = true;
  }
  return std::nullopt;
}

struct Found {
  std::optional<FileKind> kind;
  bool shared = false;
};

// By what it says of itself: the session that has its name by now need not be its own. The session
// says whose it is, the companion's athlete where there is none.
bool is_theirs(const session::CompanionOwner& owner, const Marks& marks) {
  if (marks.session_ids.contains(owner.session_id)) return true;
  return owner.athlete == marks.identity && !marks.foreign_ids.contains(owner.session_id);
}

// One that was set aside or kept.
Found look_at_retired(const fs::path& path, const Marks& marks) {
  const session::CompanionOwner owner = session::owner_of(path);
  if (is_theirs(owner, marks)) return {FileKind::companion, false};
  const bool beside =
      std::any_of(marks.sessions.begin(), marks.sessions.end(), [&](const OwnSession& session) {
        return path.string().starts_with(session::companion_path(session.path).string());
      });
  return {std::nullopt, owner.session_id.empty() && beside};
}

Found look_at(const fs::path& path, const Marks& marks) {
  if (session::is_retired_companion(path)) return look_at_retired(path, marks);
  const std::string whole_name = path.filename().string();
  const std::string name = without_part(whole_name);
  const bool part = name != whole_name;
  if (!part && name.ends_with(".results.hdf5"))
    if (const auto owner = session::owner_of(path); !owner.session_id.empty())
      return is_theirs(owner, marks) ? Found{FileKind::companion, false} : Found{};
  const auto of_kind = [&](FileKind kind) {
    return Found{part ? FileKind::leftover : kind, false};
  };
  bool doubtful = false;
  if (const auto kind = kind_beside(path, name, marks, doubtful)) return of_kind(*kind);
  if (doubtful) return {std::nullopt, true};
  const std::string ending = fs::path(name).extension().string();
  const bool page = ending == ".pdf" || ending == ".html";
  for (const std::string& piece : marks.in_names)
    if (has_piece(name, piece)) return of_kind(page ? FileKind::page : FileKind::trace);
  if (ending == ".h5" && part && holds_text(path, marks.identity))
    return of_kind(FileKind::leftover);
  if (ending == ".toml" && is_weigh_in_of(path, marks.identity)) return of_kind(FileKind::weigh_in);
  if (ending == ".csv" && name != "roster.csv") {
    const Rows rows = rows_in(path, marks);
    if (rows == Rows::own) return of_kind(FileKind::table);
    return {std::nullopt, rows == Rows::shared};
  }
  if (const auto athletes = output::athletes_in_hdf5(path); !athletes.empty()) {
    const bool theirs = std::any_of(athletes.begin(), athletes.end(),
                                    [&](const std::string& one) { return names(marks, one); });
    if (theirs && athletes.size() == 1) return of_kind(FileKind::table);
    return {std::nullopt, theirs};
  }
  if (ending == ".hdf5") {
    const bool any = std::any_of(marks.cells.begin(), marks.cells.end(),
                                 [&](const std::string& c) { return holds_text(path, c); });
    return {std::nullopt, any || holds_text(path, marks.identity)};
  }
  return {};
}

Result<void> add_roster_names(const fs::path& lab, Marks& marks, AthleteFiles& found) {
  const auto roster = read_roster_file(lab / "roster.csv");
  if (!roster) return tl::make_unexpected(roster.error());
  for (const RosterAthlete& athlete : roster->athletes)
    if (athlete.id == marks.identity) {
      found.on_roster = true;
      if (!athlete.name.empty()) marks.names.insert(athlete.name);
    }
  return {};
}

}  // namespace

bool is_of_another(const fs::path& companion, const std::string& session_id) {
  const std::string owner = session::owner_of(companion).session_id;
  return !owner.empty() && owner != session_id;
}

const char* word_for(FileKind kind) {
  switch (kind) {
    case FileKind::session:
      return "session";
    case FileKind::companion:
      return "companion";
    case FileKind::page:
      return "page";
    case FileKind::trace:
      return "trace";
    case FileKind::table:
      return "table";
    case FileKind::weigh_in:
      return "weigh-in";
    case FileKind::leftover:
      return "left-over";
  }
  throw std::logic_error("a kind of file without a word");
}

Result<AthleteFiles> find_files_of(const fs::path& lab, const std::string& identity,
                                   const std::set<std::string>& sessions) {
  if (identity.empty()) return fail("the athlete", "has no id and no name", "name one");
  AthleteFiles found;
  Marks marks;
  marks.identity = identity;
  marks.session_ids = sessions;
  std::vector<fs::path> others;
  std::vector<Foreign> foreign;
  std::error_code error;
  for (fs::recursive_directory_iterator
           file(lab, fs::directory_options::skip_permission_denied, error),
       end;
       !error && file != end; file.increment(error)) {
    std::error_code status;
    if (!fs::is_regular_file(file->symlink_status(status)) || status) continue;
    const fs::path& path = file->path();
    if (!may_be_session(path)) {
      others.push_back(path);
      continue;
    }
    const auto reader = session::Reader::open(path);
    if (!reader) {
      others.push_back(path);
    } else if (session::identity_of(reader->session().athlete) == identity) {
      note_session(path, reader->session(), marks);
    } else {
      marks.foreign_ids.insert(reader->session().id);
      marks.foreign_stems.insert(path.stem().string());
      foreign.push_back({path, reader->session().athlete, reader->as_recorded().athlete});
    }
  }
  if (error)
    return fail(lab.string(), "cannot be looked through: " + error.message(),
                "check that you may read it");
  note_codes(lab, marks);
  if (auto named = add_roster_names(lab, marks, found); !named)
    return tl::make_unexpected(named.error());
  for (const Foreign& one : foreign)
    if (perhaps_theirs(one, marks)) found.perhaps.push_back(one.path);
  const auto add = [&](const fs::path& path, FileKind kind, const std::string& session) {
    std::error_code problem;
    const auto bytes = fs::file_size(path, problem);
    found.files.push_back({path, kind, session, problem ? 0 : bytes});
  };
  std::set<fs::path> page_folders;
  std::sort(others.begin(), others.end());
  for (const fs::path& path : others) {
    const Found one = look_at(path, marks);
    if (one.kind) {
      add(path, *one.kind, {});
      if (*one.kind == FileKind::page) page_folders.insert(path.parent_path());
    } else if (one.shared) {
      found.shared.push_back(path);
    }
  }
  // A cover sheet names everyone of the day.
  for (const fs::path& path : others)
    if (path.filename().string().starts_with("cover-sheet.") &&
        page_folders.contains(path.parent_path()))
      found.shared.push_back(path);
  for (const OwnSession& session : marks.sessions)
    add(session.path,
        session.path.extension() != ".part" &&
                !session.path.parent_path().filename().string().ends_with(".continue")
            ? FileKind::session
            : FileKind::leftover,
        session.id);
  return found;
}

std::string delete_files(const fs::path& session, const std::string& session_id,
                         const std::vector<fs::path>& files, std::vector<std::string>& deleted) {
  // An analysis or edit that is under way writes the companion before all this, or not at all.
  std::optional<session::FolderLock> folder;
  std::optional<session::FileLock> recording;
  std::error_code problem;
  if (!session.empty() && fs::exists(session, problem)) {
    // Since the plan was shown another session may have come under this name. One that cannot be
    // read may be that session, damaged.
    const auto reader = session::Reader::open(session);
    if (reader && reader->session().id != session_id) return "another session lies there now";
    auto locked = session::FolderLock::acquire(session.parent_path());
    if (!locked) return locked.error().what;
    folder.emplace(std::move(*locked));
    // A recording would write on.
    auto lock = session::FileLock::acquire(session);
    if (!lock) return lock.error().what;
    recording.emplace(std::move(*lock));
  }
  for (const fs::path& file : files) {
    // A copy's own folder goes when it is empty, as remove() sees to.
    if (fs::is_directory(file, problem) && !file.filename().string().ends_with(".continue"))
      return "is a folder now";
    const bool removed = fs::remove(file, problem);
    if (problem) return file.filename().string() + ": " + problem.message();
    if (removed) deleted.push_back(file.string());
    // The folder of a copy that is listed without it.
    const fs::path above = file.parent_path();
    if (above.filename().string().ends_with(".continue") &&
        std::find(files.begin(), files.end(), above) == files.end())
      fs::remove(above, problem);
  }
  return {};
}

Result<bool> keep_id_from_others(const fs::path& lab, const std::string& identity) {
  if (const auto number = number_of(identity))
    if (auto kept = keep_next_number(lab, *number + 1); !kept)
      return tl::make_unexpected(kept.error());
  return true;
}

Result<bool> take_off_roster(const fs::path& lab, const std::string& identity) {
  if (auto kept = keep_id_from_others(lab, identity); !kept) return kept;
  const auto roster = read_roster_file(lab / "roster.csv");
  if (!roster) return tl::make_unexpected(roster.error());
  for (const RosterAthlete& athlete : roster->athletes)
    if (athlete.id == identity) {
      const auto done = change_roster(lab, {RowChange{athlete, std::nullopt}});
      if (!done) return tl::make_unexpected(done.error());
      return true;
    }
  return false;
}

}  // namespace moundwork::people
