// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/results.h"

#include <algorithm>
#include <utility>

#include "core/base/lab_file.h"
#include "core/session/companion_content.h"
#include "core/session/hdf5.h"
#include "core/session/hdf5_lock.h"
#include "core/session/schema.h"

namespace moundwork::session {
namespace {

companion::Run run_of(const ResultSet& results, std::int64_t number) {
  companion::Run run;
  run.row.run = number;
  run.row.made = hdf5::Text<40>(results.made);
  run.row.software = hdf5::Text<64>(results.software);
  run.row.edits_known = static_cast<std::int64_t>(results.edits_known);
  run.settings.assign(results.settings.begin(), results.settings.end());
  for (const ResultThrow& thrown : results.throws) {
    run.throws.push_back({number, thrown.number, seconds(thrown.contact)});
    for (const auto& [kind, list] :
         {std::pair{"event", &thrown.events}, std::pair{"quantity", &thrown.quantities}})
      for (const ResultValue& value : *list)
        run.values.push_back({number, thrown.number, hdf5::Text<16>(kind),
                              hdf5::Text<48>(value.key), value.measured.value, value.measured.u,
                              hdf5::Text<16>(value.unit), value.shared_u});
    for (const ResultFlag& flag : thrown.flags)
      run.flags.push_back({number, thrown.number, hdf5::Text<48>(flag.key),
                           hdf5::Text<48>(flag.target), hdf5::Text<256>(flag.detail)});
  }
  return run;
}

ResultSet results_of(const companion::Run& run) {
  ResultSet results;
  results.made = run.row.made.str();
  results.software = run.row.software.str();
  results.settings.assign(run.settings.begin(), run.settings.end());
  results.edits_known = static_cast<std::size_t>(std::max<std::int64_t>(0, run.row.edits_known));
  for (const auto& row : run.throws) {
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
  for (const auto& row : run.values) {
    ResultThrow& thrown = throw_of(row.number);
    auto& list = row.kind.str() == "event" ? thrown.events : thrown.quantities;
    list.push_back({row.key.str(), {row.value, row.u}, row.unit.str(), row.u_shared});
  }
  for (const auto& row : run.flags)
    throw_of(row.number).flags.push_back({row.key.str(), row.detail.str(), row.target.str()});
  return results;
}

}  // namespace

Result<void> append_results(const std::filesystem::path& path, const ResultSet& results,
                            std::optional<int> kept) {
  if (!kept)
    if (const auto lab = lab_folder_of(path)) {
      const auto settled = read_lab_file(*lab);
      if (!settled) return tl::make_unexpected(settled.error());
      kept = settled->analyses_kept;
    }
  return companion::change(path, [&](companion::Content& content) -> Result<void> {
    auto& runs = content.runs;
    runs.push_back(run_of(results, runs.empty() ? 1 : runs.back().row.run + 1));
    const auto most = static_cast<std::size_t>(std::max(1, kept.value_or(analyses_kept)));
    if (runs.size() > most)
      runs.erase(runs.begin(), runs.end() - static_cast<std::ptrdiff_t>(most));
    return {};
  });
}

Result<ResultSet> read_results(const std::filesystem::path& path, Unidentified unidentified) {
  const auto companion = companion_path(path);
  if (!std::filesystem::exists(companion)) return ResultSet{};
  if (auto can = hdf5::readable(companion); !can) return tl::make_unexpected(can.error());
  const auto session_id = companion::session_id_of(path);
  if (!session_id) return tl::make_unexpected(session_id.error());
  const auto held = hdf5::hold_library();
  try {
    const H5::H5File file = companion::open(companion);
    if (auto ours = companion::belongs(file, companion, *session_id, unidentified); !ours)
      return tl::make_unexpected(ours.error());
    const auto run = companion::last_run_in(file);
    return run ? results_of(*run) : ResultSet{};
  } catch (const H5::Exception& exception) {
    return companion::failure(companion, "its results cannot be read", exception);
  }
}

}  // namespace moundwork::session
