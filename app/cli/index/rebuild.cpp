// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/rebuild.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "app/cli/error_words.h"
#include "app/cli/index/commands.h"
#include "app/cli/index/common.h"
#include "app/cli/progress.h"
#include "core/relate/words.h"

namespace moundwork::cli {
namespace {

using nlohmann::ordered_json;
using relate::count_of;

struct RebuildOptions : IndexOptions {
  std::vector<std::string> folders;
};

std::string in_words(const index::Rebuilt& rebuilt) {
  std::string text =
      fmt::format("{} entered from {}", count_of(rebuilt.sessions, "session", "sessions"),
                  count_of(rebuilt.files, "file", "files"));
  if (rebuilt.seconds > 0.0 && rebuilt.files > 0)
    text += fmt::format(" in {:.1f} s ({:.0f} sessions/s, {:.0f} MB/s of files)", rebuilt.seconds,
                        rebuilt.files / rebuilt.seconds,
                        1e-6 * static_cast<double>(rebuilt.bytes) / rebuilt.seconds);
  text += ".\n";
  if (rebuilt.dropped > 0)
    text += fmt::format("{} no longer there: taken out.\n",
                        count_of(rebuilt.dropped, "session is", "sessions are"));
  if (rebuilt.left_out > 0)
    text += fmt::format("{} left out: deleted on purpose earlier.\n",
                        count_of(rebuilt.left_out, "file was", "files were"));
  return text;
}

int rebuild(const RebuildOptions& options) {
  const auto index = open(options, index::Access::write);
  if (!index) return complain_of_index(index.error()), 1;
  const auto rebuilt = [&] {
    ProgressLine line;
    return index::rebuild(*index, {options.folders.begin(), options.folders.end()},
                          line.of("reading sessions"));
  }();
  if (!rebuilt) return complain_of_index(rebuilt.error()), 1;
  for (const std::string& remark : rebuilt->remarks)
    std::cerr << "moundwork index: " << remark << ".\n";
  for (const Error& bad : rebuilt->bad) complain_of_index(bad);
  if (options.json) {
    ordered_json bad = ordered_json::array();
    for (const Error& one : rebuilt->bad) bad.push_back(error_words(one));
    print_json({{"index", index->connection.where()},
                {"sessions", rebuilt->sessions},
                {"files", rebuilt->files},
                {"bytes", rebuilt->bytes},
                {"seconds", rebuilt->seconds},
                {"dropped", rebuilt->dropped},
                {"left_out", rebuilt->left_out},
                {"bad", std::move(bad)},
                {"remarks", rebuilt->remarks}});
  } else {
    std::cout << in_words(*rebuilt);
  }
  return rebuilt->bad.empty() ? 0 : 1;
}

}  // namespace

void add_index_rebuild(CLI::App& index, int& exit_code) {
  auto options = std::make_shared<RebuildOptions>();
  auto* command = index.add_subcommand(
      "rebuild", "Make the index again from all session files in and below folders");
  command->add_option("folders", options->folders, "Folders")->required()->type_name("FOLDER");
  add_common(*command, *options);
  command->callback([options, &exit_code] { exit_code = rebuild(*options); });
}

}  // namespace moundwork::cli
