// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/rebuild.h"

#include <algorithm>
#include <chrono>
#include <set>

#include "app/index/store.h"

namespace moundwork::index {
namespace {

using namespace Qt::StringLiterals;
using std::filesystem::path;

Result<std::vector<path>> session_files(const std::vector<path>& folders) {
  std::vector<path> files;
  std::error_code problem;
  for (const path& folder : folders) {
    std::filesystem::recursive_directory_iterator entry(
        folder, std::filesystem::directory_options::skip_permission_denied, problem);
    for (; !problem && entry != std::filesystem::end(entry); entry.increment(problem)) {
      std::error_code unknown;
      // A copy that a killed `record --continue` left; its session lies beside the folder.
      const std::string name = entry->path().filename().string();
      if (name.starts_with('.') && name.ends_with(".h5.continue")) {
        entry.disable_recursion_pending();
        continue;
      }
      if (entry->path().extension() == ".h5" && entry->is_regular_file(unknown))
        files.push_back(entry->path());
    }
    if (problem) return fail(folder.string(), "cannot be searched: " + problem.message());
  }
  std::sort(files.begin(), files.end());
  files.erase(std::unique(files.begin(), files.end()), files.end());
  return files;
}

bool below(const path& file, const path& folder) {
  const auto [end, rest] = std::mismatch(folder.begin(), folder.end(), file.begin(), file.end());
  return end == folder.end();
}

// Takes out what this station listed below the folders and is no more.
Result<int> drop_gone(const Index& index, const std::vector<path>& folders) {
  auto transaction = Transaction::begin(index.connection);
  if (!transaction) return tl::make_unexpected(transaction.error());
  const QString station = QString::fromStdString(index.station);
  auto listed = run(index.connection, u"SELECT path FROM locations WHERE station = ?"_s, {station});
  if (!listed) return tl::make_unexpected(listed.error());
  std::vector<QString> lost;
  while (listed->next()) {
    const QString text = listed->value(0).toString();
    const path file(text.toStdString());
    const bool asked = std::any_of(folders.begin(), folders.end(),
                                   [&](const path& folder) { return below(file, folder); });
    std::error_code problem;
    // The folder searched is there, so a file that is not is no more, even with its own folder.
    if (asked && !std::filesystem::exists(file, problem) && !problem) lost.push_back(text);
  }
  for (const QString& file : lost) {
    const auto done =
        run(index.connection, u"DELETE FROM locations WHERE station = ? AND path = ?"_s,
            {station, file});
    if (!done) return tl::make_unexpected(done.error());
  }
  auto dropped = drop_unplaced(index.connection);
  if (!dropped) return dropped;
  if (auto done = transaction->commit(); !done) return tl::make_unexpected(done.error());
  return dropped;
}

}  // namespace

Result<Rebuilt> rebuild(const Index& index, const std::vector<path>& folders,
                        const Progress& progress) {
  std::vector<path> whole;
  for (const path& folder : folders) {
    std::error_code problem;
    whole.push_back(std::filesystem::canonical(folder, problem));
    if (problem || !std::filesystem::is_directory(whole.back(), problem))
      return fail(folder.string(), "is no folder", "name the folders that hold session files");
  }
  const auto files = session_files(whole);
  if (!files) return tl::make_unexpected(files.error());

  Rebuilt rebuilt;
  rebuilt.found = static_cast<int>(files->size());
  std::set<std::string> seen;
  const auto start = std::chrono::steady_clock::now();
  for (std::size_t i = 0; i < files->size(); ++i) {
    const path& file = (*files)[i];
    if (!goes_on(progress, static_cast<double>(i) / static_cast<double>(files->size()))) {
      rebuilt.stopped = true;
      break;
    }
    const auto entry = read_entry(file);
    if (!entry) {
      rebuilt.bad.push_back(entry.error());
      continue;
    }
    const auto done = put(index, *entry);
    if (!done) return tl::make_unexpected(done.error());
    for (const std::string& remark : done->remarks)
      rebuilt.remarks.push_back(file.string() + ": " + remark);
    if (done->stored == Stored::forgotten) {
      ++rebuilt.left_out;
      continue;
    }
    ++rebuilt.files;
    rebuilt.bytes += entry->bytes;
    seen.insert(entry->id);
  }
  if (!rebuilt.stopped) {
    const auto dropped = drop_gone(index, whole);
    if (!dropped) return tl::make_unexpected(dropped.error());
    rebuilt.dropped = *dropped;
  }
  rebuilt.sessions = static_cast<int>(seen.size());
  const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - start;
  rebuilt.seconds = taken.count();
  return rebuilt;
}

}  // namespace moundwork::index
