// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/results.h"

#include <fmt/format.h>

#include <fstream>
#include <functional>
#include <iterator>
#include <tuple>
#include <utility>

#include "core/base/write_file.h"
#include "core/session/file_lock.h"
#include "core/session/hdf5.h"
#include "core/session/hdf5_lock.h"
#include "core/session/memory_file.h"
#include "core/session/own_parts.h"
#include "core/session/schema.h"

namespace moundwork::session {
namespace {

constexpr hsize_t edits_per_chunk = 16;
constexpr const char* format_name = "moundwork-results";

// The format that keeps a checksum beside every description.
void fill_companion(H5::H5File& file) {
  H5::Group root = file.openGroup("/");
  hdf5::write(root, "format", std::string(format_name));
  hdf5::write(root, "schema", schema::version);
  H5::Group edits = file.createGroup("edits");
  (void)hdf5::make_table(edits, "list", schema::edit_type(), edits_per_chunk);
  H5::Group results = file.createGroup("results");
  (void)hdf5::make_table(results, "runs", schema::run_type(), 8);
  (void)hdf5::make_table(results, "settings", H5::PredType::STD_U8LE, 4096);
  (void)hdf5::make_table(results, "throws", schema::throw_type(), 64);
  (void)hdf5::make_table(results, "values", schema::value_type(), 512);
  (void)hdf5::make_table(results, "flags", schema::flag_type(), 32);
}

// Throws where it is something else or of another version: adding our rows to tables that mean
// something else would spoil them.
void require_companion(const H5::H5File& file) {
  const H5::Group root = file.openGroup("/");
  if (hdf5::read_text(root, "format") != format_name)
    throw H5::FileIException("require_companion", "it does not hold results");
  if (const auto found = hdf5::read_integer(root, "schema"); found != schema::version)
    throw H5::FileIException(
        "require_companion",
        fmt::format("it has results format {}, this program knows {}", found, schema::version));
  hdf5::require_own_parts(file);
}

H5::H5File open_companion(const std::filesystem::path& path) {
  H5::H5File file(path.string(), H5F_ACC_RDONLY);
  require_companion(file);
  return file;
}

// Changed in memory: a full disk then fails in our own writing, and the old file stays.
Result<std::string> with_appended(const std::filesystem::path& companion,
                                  const std::function<Result<void>(H5::H5File&)>& append) {
  const auto held = hdf5::hold_library();
  std::string bytes;
  if (std::filesystem::exists(companion)) {
    std::ifstream in(companion, std::ios::binary);
    bytes.assign(std::istreambuf_iterator<char>(in), {});
    if (!in) throw H5::FileIException("with_appended", "it cannot be read whole");
  }
  hdf5::MemoryFile memory(bytes, bytes.empty());
  H5::H5File& file = memory.file();
  if (bytes.empty()) fill_companion(file);
  require_companion(file);
  if (auto appended = append(file); !appended) return tl::make_unexpected(appended.error());
  return memory.close();
}

Failure companion_failure(const std::filesystem::path& companion, const char* doing,
                          const H5::Exception& exception) {
  return fail(companion.string(), fmt::format("{} ({})", doing, exception.getDetailMsg()),
              "use the version of the program that wrote it, or give it another name and analyse "
              "again");
}

// Puts a changed copy in place of the companion in one step.
Result<void> append_with(const std::filesystem::path& session,
                         const std::function<Result<void>(H5::H5File&)>& append) {
  auto lock = FolderLock::acquire(session.parent_path());
  if (!lock) return tl::make_unexpected(lock.error());
  // Deleted since it was read, as when its athlete is forgotten: nothing of it is written anew.
  if (std::error_code status; !std::filesystem::exists(session, status))
    return fail(session.string(), "is no longer there, so its results are not kept");
  const std::filesystem::path companion = companion_path(session);
  if (std::filesystem::exists(companion))
    if (auto can = hdf5::readable(companion); !can) return can;
  Result<std::string> changed;
  try {
    changed = with_appended(companion, append);
  } catch (const H5::Exception& exception) {
    return companion_failure(companion, "cannot be added to", exception);
  }
  // Waits for the disk, which nobody who reads or records elsewhere should wait for.
  if (!changed) return tl::make_unexpected(changed.error());
  return replace_file(companion, *changed);
}

template <class Row>
struct Rows {
  std::int64_t first = 0, count = 0;
};

template <class Row>
Rows<Row> append_all(H5::H5File& file, const char* name, const H5::DataType& type,
                     const std::vector<Row>& rows) {
  H5::DataSet table = file.openDataSet(name);
  hdf5::require_plain(table.getDataType());
  const Rows<Row> place{static_cast<std::int64_t>(hdf5::rows_held(table)),
                        static_cast<std::int64_t>(rows.size())};
  hdf5::append_rows(table, type, rows.data(), rows.size());
  return place;
}

template <class Row>
std::vector<Row> read_some(const H5::H5File& file, const char* name, const H5::DataType& type,
                           std::int64_t first, std::int64_t count) {
  const H5::DataSet table = file.openDataSet(name);
  hdf5::require_plain(table.getDataType());
  if (first < 0 || count < 0 ||
      static_cast<hsize_t>(first) + static_cast<hsize_t>(count) > hdf5::rows_held(table))
    throw H5::DataSetIException("read_some", std::string(name) + " has fewer rows than told");
  std::vector<Row> rows(static_cast<std::size_t>(count));
  if (rows.empty()) return rows;
  const auto start = static_cast<hsize_t>(first);
  const auto size = static_cast<hsize_t>(count);
  H5::DataSpace source = table.getSpace();
  source.selectHyperslab(H5S_SELECT_SET, &size, &start);
  table.read(rows.data(), type, H5::DataSpace(1, &size), source);
  return rows;
}

// A list made before edits had a column that they have now is made again with it: HDF5 would drop
// the column of a new row without a word.
void widen_edit_list(H5::H5File& file) {
  H5::DataSet list = file.openDataSet("edits/list");
  if (list.getCompType().getNmembers() >= schema::edit_type().getNmembers()) return;
  const auto rows = hdf5::read_rows<schema::EditRow>(list, schema::edit_type());
  list.close();
  H5::Group edits = file.openGroup("edits");
  edits.unlink("list");
  H5::DataSet wider = hdf5::make_table(edits, "list", schema::edit_type(), edits_per_chunk);
  hdf5::append_rows(wider, schema::edit_type(), rows.data(), rows.size());
}

std::vector<Edit> edits_in(const H5::H5File& file) {
  std::vector<Edit> edits;
  for (const auto& row :
       hdf5::read_rows<schema::EditRow>(file.openDataSet("edits/list"), schema::edit_type()))
    edits.push_back({row.when.str(), row.who.str(), row.why.str(), row.throw_contact,
                     row.action.str(), row.target.str(), row.value, row.text.str(), row.u});
  return edits;
}

// A cell of the list holds so much text; what would be cut off is refused.
Result<void> fits(const Edit& edit) {
  const std::tuple<const char*, const std::string&, std::size_t> cells[] = {
      {"time", edit.when, sizeof(schema::EditRow::when)},
      {"name", edit.who, sizeof(schema::EditRow::who)},
      {"reason", edit.why, sizeof(schema::EditRow::why)},
      {"action", edit.action, sizeof(schema::EditRow::action)},
      {"target", edit.target, sizeof(schema::EditRow::target)},
      {"text", edit.text, sizeof(schema::EditRow::text)}};
  for (const auto& [what, text, size] : cells)
    if (text.size() >= size)
      return fail(fmt::format("the {} of an edit", what),
                  fmt::format("has {} bytes, {} fit", text.size(), size - 1), "make it shorter");
  return {};
}

}  // namespace

std::filesystem::path companion_path(const std::filesystem::path& session) {
  std::filesystem::path companion = session;
  companion.replace_extension(".results.hdf5");
  return companion;
}

std::filesystem::path continue_folder(const std::filesystem::path& session) {
  return session.parent_path() / ("." + session.filename().string() + ".continue");
}

Result<void> append_results(const std::filesystem::path& path, const ResultSet& results) {
  return append_with(path, [&](H5::H5File& file) -> Result<void> {
    schema::RunRow run{};
    run.run = static_cast<std::int64_t>(hdf5::row_count(file.openDataSet("results/runs"))) + 1;
    run.made = hdf5::Text<40>(results.made);
    run.software = hdf5::Text<64>(results.software);
    std::vector<schema::ThrowRow> throws;
    std::vector<schema::ValueRow> values;
    std::vector<schema::FlagRow> flags;
    for (const ResultThrow& thrown : results.throws) {
      throws.push_back({run.run, thrown.number, seconds(thrown.contact)});
      for (const auto& [kind, list] :
           {std::pair{"event", &thrown.events}, std::pair{"quantity", &thrown.quantities}})
        for (const ResultValue& value : *list)
          values.push_back({run.run, thrown.number, hdf5::Text<16>(kind), hdf5::Text<48>(value.key),
                            value.measured.value, value.measured.u, hdf5::Text<16>(value.unit)});
      for (const ResultFlag& flag : thrown.flags)
        flags.push_back(
            {run.run, thrown.number, hdf5::Text<48>(flag.key), hdf5::Text<256>(flag.detail)});
    }
    const std::vector<unsigned char> settings(results.settings.begin(), results.settings.end());
    const auto s = append_all(file, "results/settings", H5::PredType::NATIVE_UINT8, settings);
    const auto t = append_all(file, "results/throws", schema::throw_type(), throws);
    const auto v = append_all(file, "results/values", schema::value_type(), values);
    const auto f = append_all(file, "results/flags", schema::flag_type(), flags);
    run.settings_first = s.first;
    run.settings_length = s.count;
    run.throws_first = t.first;
    run.throws_count = t.count;
    run.values_first = v.first;
    run.values_count = v.count;
    run.flags_first = f.first;
    run.flags_count = f.count;
    (void)append_all(file, "results/runs", schema::run_type(), std::vector{run});
    return {};
  });
}

Result<ResultSet> read_results(const std::filesystem::path& path) {
  if (!std::filesystem::exists(companion_path(path))) return ResultSet{};
  if (auto can = hdf5::readable(companion_path(path)); !can)
    return tl::make_unexpected(can.error());
  const auto held = hdf5::hold_library();
  try {
    const H5::H5File file = open_companion(companion_path(path));
    const auto runs =
        hdf5::read_rows<schema::RunRow>(file.openDataSet("results/runs"), schema::run_type());
    ResultSet results;
    if (runs.empty()) return results;
    const schema::RunRow& run = runs.back();
    results.made = run.made.str();
    results.software = run.software.str();
    const auto settings =
        read_some<unsigned char>(file, "results/settings", H5::PredType::NATIVE_UINT8,
                                 run.settings_first, run.settings_length);
    results.settings.assign(settings.begin(), settings.end());
    for (const auto& row : read_some<schema::ThrowRow>(file, "results/throws", schema::throw_type(),
                                                       run.throws_first, run.throws_count)) {
      ResultThrow thrown;
      thrown.number = static_cast<int>(row.number);
      thrown.contact = session_time(row.contact);
      results.throws.push_back(std::move(thrown));
    }
    const auto throw_of = [&](std::int64_t number) -> ResultThrow& {
      for (ResultThrow& thrown : results.throws)
        if (thrown.number == number) return thrown;
      throw H5::DataSetIException("read_results", "a value of a throw that is not listed");
    };
    for (const auto& row : read_some<schema::ValueRow>(file, "results/values", schema::value_type(),
                                                       run.values_first, run.values_count)) {
      ResultThrow& thrown = throw_of(row.number);
      auto& list = row.kind.str() == "event" ? thrown.events : thrown.quantities;
      list.push_back({row.key.str(), {row.value, row.u}, row.unit.str()});
    }
    for (const auto& row : read_some<schema::FlagRow>(file, "results/flags", schema::flag_type(),
                                                      run.flags_first, run.flags_count))
      throw_of(row.number).flags.push_back({row.key.str(), row.detail.str()});
    return results;
  } catch (const H5::Exception& exception) {
    return companion_failure(companion_path(path), "its results cannot be read", exception);
  }
}

Result<std::size_t> append_edit(const std::filesystem::path& path, const Edit& edit) {
  return append_edit(path, [&](std::span<const Edit>) -> Result<Edit> { return edit; });
}

Result<std::size_t> append_edit(const std::filesystem::path& path,
                                const std::function<Result<Edit>(std::span<const Edit>)>& choose) {
  std::size_t place = 0;
  const auto appended = append_with(path, [&](H5::H5File& file) -> Result<void> {
    widen_edit_list(file);
    const auto edit = choose(edits_in(file));
    if (!edit) return tl::make_unexpected(edit.error());
    if (auto fit = fits(*edit); !fit) return fit;
    const schema::EditRow row{hdf5::Text<40>(edit->when),
                              hdf5::Text<64>(edit->who),
                              hdf5::Text<256>(edit->why),
                              edit->throw_contact,
                              hdf5::Text<32>(edit->action),
                              hdf5::Text<48>(edit->target),
                              edit->value,
                              hdf5::Text<256>(edit->text),
                              edit->u};
    place = static_cast<std::size_t>(
        append_all(file, "edits/list", schema::edit_type(), std::vector{row}).first);
    return {};
  });
  if (!appended) return tl::make_unexpected(appended.error());
  return place;
}

Result<std::vector<Edit>> read_edits(const std::filesystem::path& path) {
  if (!std::filesystem::exists(companion_path(path))) return std::vector<Edit>{};
  if (auto can = hdf5::readable(companion_path(path)); !can)
    return tl::make_unexpected(can.error());
  const auto held = hdf5::hold_library();
  try {
    const H5::H5File file = open_companion(companion_path(path));
    return edits_in(file);
  } catch (const H5::Exception& exception) {
    return companion_failure(companion_path(path), "its edits cannot be read", exception);
  }
}

}  // namespace moundwork::session
