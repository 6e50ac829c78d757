// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/lab.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <filesystem>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "app/cli/json_text.h"
#include "core/base/lab_file.h"
#include "core/base/sharing.h"
#include "core/relate/words.h"

namespace moundwork::cli {
namespace {

using nlohmann::ordered_json;
using relate::count_of;

struct Options {
  std::string lab;
  std::optional<std::string> sharing;
  bool json = false;
};

const char* meaning_of(Sharing sharing) {
  return sharing == Sharing::group ? "for its owner and the group (files 0660, folders 2770)"
                                   : "for its owner alone (files 0600, folders 0700)";
}

int show(const Options& options) {
  std::error_code ignored;
  const auto settled =
      std::filesystem::is_directory(options.lab, ignored)
          ? read_lab_file(options.lab)
          : Result<LabFile>(fail(options.lab, "is no folder", "name the lab's folder"));
  if (!settled) {
    std::cerr << "moundwork lab sharing: " << settled.error().sentence() << '\n';
    return 1;
  }
  if (options.json)
    std::cout << json_text(
                     ordered_json{{"lab", options.lab}, {"sharing", word_for(settled->sharing)}})
              << '\n';
  else
    std::cout << fmt::format("{}: what is written here is {}.\n", word_for(settled->sharing),
                             meaning_of(settled->sharing));
  return 0;
}

int set(const Options& options) {
  const Sharing sharing = options.sharing == "group" ? Sharing::group : Sharing::owner;
  const auto done = set_sharing(options.lab, sharing);
  if (!done) {
    std::cerr << "moundwork lab sharing: " << done.error().sentence() << '\n';
    return 1;
  }
  for (const Error& problem : done->problems)
    std::cerr << "moundwork lab sharing: " << problem.sentence() << '\n';
  if (options.json)
    std::cout << json_text(ordered_json{{"lab", options.lab},
                                        {"sharing", word_for(sharing)},
                                        {"changed", done->changed},
                                        {"right_already", done->right},
                                        {"failed", done->problems.size()}})
              << '\n';
  else
    std::cout << fmt::format(
        "{}: what is written here is {}. {} changed, {} right already.\n", word_for(sharing),
        meaning_of(sharing),
        count_of(done->changed, "file or folder was", "files and folders were"), done->right);
  return done->problems.empty() ? 0 : 1;
}

}  // namespace

void add_lab(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<Options>();
  Options& o = *options;
  CLI::App* lab = app.add_subcommand("lab", "What a lab has settled for its folder");
  lab->require_subcommand(1);
  CLI::App* sharing = lab->add_subcommand(
      "sharing",
      "Who may read what is written into the lab's folder; sets it for what is there too");
  sharing->add_option("lab", o.lab, "The lab's folder")->required()->type_name("LAB");
  sharing->add_option("who", o.sharing, "Shown when not given")
      ->check(CLI::IsMember({"owner", "group"}));
  sharing->add_flag("--json", o.json, "Print JSON");
  sharing->callback(
      [options, &exit_code] { exit_code = options->sharing ? set(*options) : show(*options); });
}

}  // namespace moundwork::cli
