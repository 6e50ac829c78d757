// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/companion_content.h"

#include <fmt/format.h>

#include <fstream>
#include <iterator>
#include <set>
#include <utility>

#include "core/base/write_file.h"
#include "core/session/file_lock.h"
#include "core/session/hdf5_lock.h"
#include "core/session/identity.h"
#include "core/session/memory_file.h"
#include "core/session/old_edits.h"
#include "core/session/own_parts.h"

namespace moundwork::session::companion {
namespace {

namespace fs = std::filesystem;

constexpr const char* format_name = "moundwork-results";
// Cells are mostly empty: the lightest packing takes nine tenths of them away.
constexpr int packing = 1;

// Where it is something else or of another version: adding our rows to tables that mean something
// else would spoil them.
std::int64_t version_of(const H5::H5File& file) {
  const H5::Group root = file.openGroup("/");
  if (hdf5::read_text(root, "format") != format_name)
    throw H5::FileIException("version_of", "it does not hold results");
  const auto found = hdf5::read_integer(root, "schema");
  if (found < 1 || found > schema::companion_version)
    throw H5::FileIException(
        "version_of", fmt::format("it has results format {}, this program knows 1 to {}", found,
                                  schema::companion_version));
  return found;
}

template <class Row>
std::vector<Row> rows_of(const H5::H5File& file, const char* name, const H5::DataType& type) {
  return hdf5::read_rows<Row>(file.openDataSet(name), type);
}

template <class Row>
std::vector<Row> some_rows(const H5::H5File& file, const char* name, const H5::DataType& type,
                           std::int64_t first, std::int64_t count) {
  const H5::DataSet table = file.openDataSet(name);
  hdf5::require_plain(table.getDataType());
  const hsize_t held = hdf5::rows_held(table);
  if (first < 0 || count < 0 || static_cast<hsize_t>(first) > held ||
      static_cast<hsize_t>(count) > held - static_cast<hsize_t>(first))
    throw H5::DataSetIException("some_rows", std::string(name) + " has fewer rows than told");
  std::vector<Row> rows(static_cast<std::size_t>(count));
  if (rows.empty()) return rows;
  const auto start = static_cast<hsize_t>(first);
  const auto size = static_cast<hsize_t>(count);
  H5::DataSpace source = table.getSpace();
  source.selectHyperslab(H5S_SELECT_SET, &size, &start);
  table.read(rows.data(), type, H5::DataSpace(1, &size), source);
  return rows;
}

Run run_of(const H5::H5File& file, const schema::RunRow& row) {
  return {row,
          some_rows<unsigned char>(file, "results/settings", H5::PredType::NATIVE_UINT8,
                                   row.settings_first, row.settings_length),
          some_rows<schema::ThrowRow>(file, "results/throws", schema::throw_type(),
                                      row.throws_first, row.throws_count),
          some_rows<schema::ValueRow>(file, "results/values", schema::value_type(),
                                      row.values_first, row.values_count),
          some_rows<schema::FlagRow>(file, "results/flags", schema::flag_type(), row.flags_first,
                                     row.flags_count)};
}

Content content_of(const H5::H5File& file) {
  Content content;
  content.version = version_of(file);
  content.session_id = session_id_in(file);
  for (const auto& row : rows_of<schema::RunRow>(file, "results/runs", schema::run_type()))
    content.runs.push_back(run_of(file, row));
  content.edits = edits_in(file);
  return content;
}

template <class Row>
void put_table(H5::Group& group, const char* name, const H5::DataType& type, hsize_t per_chunk,
               const std::vector<Row>& rows) {
  H5::DataSet table = hdf5::make_table(group, name, type, per_chunk, packing);
  hdf5::append_rows(table, type, rows.data(), rows.size());
}

template <class Row>
void join(std::vector<Row>& all, const std::vector<Row>& more, std::int64_t& first,
          std::int64_t& count) {
  first = static_cast<std::int64_t>(all.size());
  count = static_cast<std::int64_t>(more.size());
  all.insert(all.end(), more.begin(), more.end());
}

void fill(H5::H5File& file, const Content& content) {
  H5::Group root = file.openGroup("/");
  hdf5::write(root, "format", std::string(format_name));
  hdf5::write(root, "schema", schema::companion_version);
  hdf5::write(root, "session_id", content.session_id.value_or(""));
  hdf5::write(root, "athlete", content.athlete);
  H5::Group edits = file.createGroup("edits");
  put_table(edits, "list", schema::edit_type(), 64, content.edits);
  std::vector<schema::RunRow> runs;
  Run all;
  for (const Run& run : content.runs) {
    schema::RunRow row = run.row;
    join(all.settings, run.settings, row.settings_first, row.settings_length);
    join(all.throws, run.throws, row.throws_first, row.throws_count);
    join(all.values, run.values, row.values_first, row.values_count);
    join(all.flags, run.flags, row.flags_first, row.flags_count);
    runs.push_back(row);
  }
  H5::Group results = file.createGroup("results");
  put_table(results, "runs", schema::run_type(), 8, runs);
  put_table(results, "settings", H5::PredType::STD_U8LE, 4096, all.settings);
  put_table(results, "throws", schema::throw_type(), 64, all.throws);
  put_table(results, "values", schema::value_type(), 512, all.values);
  put_table(results, "flags", schema::flag_type(), 64, all.flags);
}

// What other programs put there stays.
void copy_foreign(const H5::H5File& from, const H5::H5File& to, const char* group,
                  const std::set<std::string>& ours) {
  const H5::Group source = from.openGroup(group);
  const H5::Group target = to.openGroup(group);
  for (hsize_t i = 0; i < source.getNumObjs(); ++i) {
    const std::string name = source.getObjnameByIdx(i);
    if (!ours.contains(name) && H5Ocopy(source.getId(), name.c_str(), target.getId(), name.c_str(),
                                        H5P_DEFAULT, H5P_DEFAULT) < 0)
      throw H5::GroupIException("copy_foreign", "'" + name + "' in it cannot be copied");
  }
}

// Made anew each time, in memory. Changed in place, the library would leave the room of packed rows
// that grew unused, and the file would grow with each edit. And a full disk fails in our own
// writing, where the old file stays.
std::string bytes_of(const Content& content, const H5::H5File* before) {
  hdf5::MemoryFile memory({}, true);
  fill(memory.file(), content);
  if (before != nullptr) {
    copy_foreign(*before, memory.file(), "/", {"edits", "results"});
    copy_foreign(*before, memory.file(), "edits", {"list"});
    copy_foreign(*before, memory.file(), "results",
                 {"runs", "settings", "throws", "values", "flags"});
  }
  return memory.close();
}

struct Changed {
  std::string bytes;
  std::int64_t version_before = schema::companion_version;
};

Result<Changed> changed_of(const fs::path& companion, const CompanionOwner& owner,
                           const std::function<Result<void>(Content&)>& change) {
  const auto held = hdf5::hold_library();
  Content content;
  std::optional<H5::H5File> before;
  if (fs::exists(companion)) {
    before = open(companion);
    if (auto ours = belongs(*before, companion, owner.session_id, Unidentified::accepted); !ours)
      return tl::make_unexpected(ours.error());
    content = content_of(*before);
  } else {
    content.session_id = owner.session_id;
  }
  content.athlete = owner.athlete;
  if (auto done = change(content); !done) return tl::make_unexpected(done.error());
  if (!content.session_id)
    return fail(companion.string(),
                "was made by an earlier version, which did not note whose results these are",
                "analyse the session: that shows whether they are its own");
  const std::int64_t version = content.version;
  return Changed{bytes_of(content, before ? &*before : nullptr), version};
}

}  // namespace

H5::H5File open(const fs::path& companion) {
  H5::H5File file(companion.string(), H5F_ACC_RDONLY);
  hdf5::require_own_parts(file);
  (void)version_of(file);
  return file;
}

std::optional<std::string> session_id_in(const H5::H5File& file) {
  const H5::Group root = file.openGroup("/");
  if (!root.attrExists("session_id")) return std::nullopt;
  return hdf5::read_text(root, "session_id");
}

CompanionOwner owner_in(const H5::H5File& file) {
  const H5::Group root = file.openGroup("/");
  return {session_id_in(file).value_or(""),
          root.attrExists("athlete") ? hdf5::read_text(root, "athlete") : ""};
}

std::vector<schema::EditRow> edits_in(const H5::H5File& file) {
  auto rows = rows_of<schema::EditRow>(file, "edits/list", schema::edit_type());
  if (version_of(file) == 1) as_version_2(rows);
  return rows;
}

std::optional<Run> last_run_in(const H5::H5File& file) {
  const auto rows = rows_of<schema::RunRow>(file, "results/runs", schema::run_type());
  if (rows.empty()) return std::nullopt;
  return run_of(file, rows.back());
}

Result<void> belongs(const H5::H5File& file, const fs::path& companion,
                     const std::string& session_id, Unidentified unidentified) {
  const auto found = session_id_in(file);
  if (!found && unidentified == Unidentified::refused)
    return fail(companion.string(),
                "was made by an earlier version, which did not note whose results these are",
                "analyse the session: that shows whether they are its own");
  if (!found || *found == session_id) return {};
  return fail(companion.string(),
              fmt::format("holds the results of another session ({}), not of this one ({})", *found,
                          session_id),
              "put it beside its own session, or give it another name and analyse this one");
}

Result<CompanionOwner> owner_at(const fs::path& path) {
  if (auto can = hdf5::readable(path); !can) return tl::make_unexpected(can.error());
  const auto held = hdf5::hold_library();
  try {
    const H5::H5File file = hdf5::open_to_read(path);
    const H5::Group group = file.openGroup("athlete");
    Athlete athlete;
    athlete.id = hdf5::read_text(group, "id");
    athlete.name = hdf5::read_text(group, "name");
    return CompanionOwner{hdf5::read_text(file.openGroup("/"), "session_id"), identity_of(athlete)};
  } catch (const H5::Exception& exception) {
    return hdf5::failure(path.string(), "cannot be read as a session", exception);
  }
}

Result<std::string> session_id_of(const fs::path& path) {
  return owner_at(path).map([](const CompanionOwner& owner) { return owner.session_id; });
}

fs::path free_name(const fs::path& wished) {
  fs::path name = wished;
  std::error_code status;
  for (int more = 2; fs::exists(name, status); ++more)
    name = fmt::format("{}-{}", wished.string(), more);
  return name;
}

Failure failure(const fs::path& companion, const char* doing, const H5::Exception& exception) {
  return fail(companion.string(), fmt::format("{} ({})", doing, exception.getDetailMsg()),
              "use the version of the program that wrote it, or give it another name and analyse "
              "again");
}

Result<void> change(const fs::path& session, const std::function<Result<void>(Content&)>& change) {
  auto lock = FolderLock::acquire(session.parent_path());
  if (!lock) return tl::make_unexpected(lock.error());
  // Deleted since it was read, as when its athlete is forgotten: nothing of it is written anew.
  if (std::error_code status; !fs::exists(session, status))
    return fail(session.string(), "is no longer there, so its results are not kept");
  const auto owner = owner_at(session);
  if (!owner) return tl::make_unexpected(owner.error());
  const fs::path companion = companion_path(session);
  if (fs::exists(companion))
    if (auto can = hdf5::readable(companion); !can) return can;
  Result<Changed> changed;
  try {
    changed = changed_of(companion, *owner, change);
  } catch (const H5::Exception& exception) {
    return failure(companion, "cannot be added to", exception);
  }
  // Waits for the disk, which nobody who reads or records elsewhere should wait for.
  if (!changed) return tl::make_unexpected(changed.error());
  if (changed->version_before < schema::companion_version) {
    std::ifstream in(companion, std::ios::binary);
    const std::string before{std::istreambuf_iterator<char>(in), {}};
    if (!in) return fail(companion.string(), "cannot be read whole");
    if (auto kept = replace_file(free_name(kept_companion_path(session)), before); !kept)
      return kept;
  }
  return replace_file(companion, changed->bytes);
}

}  // namespace moundwork::session::companion
