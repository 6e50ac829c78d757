// SPDX-License-Identifier: GPL-3.0-or-later

#include <CLI/CLI.hpp>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <string>
#include <vector>

#include "app/cli/index/commands.h"
#include "app/cli/index/common.h"
#include "app/index/entry.h"
#include "app/index/store.h"
#include "core/base/one_line.h"
#include "core/relate/words.h"

namespace moundwork::cli {
namespace {

using nlohmann::ordered_json;
using relate::count_of;

struct AddOptions : IndexOptions {
  std::vector<std::string> files;
  bool again = false;
};

const char* word_for(index::Stored stored) {
  switch (stored) {
    case index::Stored::added:
      return "added";
    case index::Stored::replaced:
      return "replaced";
    case index::Stored::older_copy:
      return "older copy";
    case index::Stored::forgotten:
      return "left out";
  }
  throw std::logic_error("a kind of storing without a word");
}

int add(const AddOptions& options) {
  const auto index = open(options, index::Access::write);
  if (!index) return complain_of_index(index.error()), 1;
  int exit_code = 0;
  ordered_json list = ordered_json::array();
  for (const std::string& file : options.files) {
    const auto entry = index::read_entry(file);
    if (!entry) {
      complain_of_index(entry.error());
      exit_code = 1;
      continue;
    }
    const auto done = index::put(*index, *entry, options.again);
    if (!done) {
      complain_of_index(done.error());
      exit_code = 1;
      continue;
    }
    if (done->stored == index::Stored::forgotten) exit_code = 1;
    if (options.json) {
      list.push_back({{"file", entry->path.string()},
                      {"session", entry->id},
                      {"athlete", entry->identity()},
                      {"stored", word_for(done->stored)},
                      {"throws", entry->throws.size()},
                      {"copies", done->copies},
                      {"remarks", done->remarks}});
      continue;
    }
    std::cout << file << ": " << word_for(done->stored);
    if (done->stored != index::Stored::forgotten) {
      std::cout << ", " << count_of(static_cast<int>(entry->throws.size()), "throw", "throws")
                << " of "
                << (entry->identity().empty() ? "nobody named" : one_line(entry->identity()));
      if (entry->made.empty()) std::cout << ", not analysed yet";
    }
    for (const std::string& copy : done->copies) std::cout << "\n  also at " << one_line(copy);
    for (const std::string& remark : done->remarks) std::cout << "\n  " << one_line(remark);
    if (done->stored == index::Stored::forgotten)
      std::cout << "\n  moundwork index add --again takes it in on purpose";
    std::cout << '\n';
  }
  if (options.json) print_json({{"files", std::move(list)}});
  return exit_code;
}

}  // namespace

void add_index_add(CLI::App& index, int& exit_code) {
  auto options = std::make_shared<AddOptions>();
  auto* command = index.add_subcommand(
      "add", "Enter session files, or bring them up to date after an analysis or edits");
  command->add_option("files", options->files, "Session files")->required()->type_name("FILE");
  command->add_flag("--again", options->again,
                    "Take in sessions that were deleted on purpose, too");
  add_common(*command, *options);
  command->callback([options, &exit_code] { exit_code = add(*options); });
}

}  // namespace moundwork::cli
