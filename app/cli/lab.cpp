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
#include "core/base/one_line.h"
#include "core/base/sharing.h"
#include "core/base/time_zone.h"
#include "core/relate/words.h"

namespace moundwork::cli {
namespace {

using nlohmann::ordered_json;
using relate::count_of;

struct LabOptions {
  std::string lab;
  std::optional<std::string> sharing, zone;
  bool json = false;
};

const char* meaning_of(Sharing sharing) {
  return sharing == Sharing::group ? "for its owner and the group (files 0660, folders 2770)"
                                   : "for its owner alone (files 0600, folders 0700)";
}

Result<LabFile> settled_in(const std::string& lab) {
  std::error_code ignored;
  if (!std::filesystem::is_directory(lab, ignored))
    return fail(lab, "is no folder", "name the lab's folder");
  return read_lab_file(lab);
}

int complain(const char* command, const Error& error) {
  std::cerr << fmt::format("moundwork lab {}: {}\n", command, error.sentence());
  return 1;
}

int show_sharing(const LabOptions& options) {
  const auto settled = settled_in(options.lab);
  if (!settled) return complain("sharing", settled.error());
  if (options.json)
    std::cout << json_text(
                     ordered_json{{"lab", options.lab}, {"sharing", word_for(settled->sharing)}})
              << '\n';
  else
    std::cout << fmt::format("{}: what is written here is {}.\n", word_for(settled->sharing),
                             meaning_of(settled->sharing));
  return 0;
}

int set_sharing(const LabOptions& options) {
  const Sharing sharing = options.sharing == "group" ? Sharing::group : Sharing::owner;
  const auto done = moundwork::set_sharing(options.lab, sharing);
  if (!done) return complain("sharing", done.error());
  for (const Error& problem : done->problems) complain("sharing", problem);
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

int zone(const LabOptions& options) {
  auto settled = settled_in(options.lab);
  if (!settled) return complain("zone", settled.error());
  if (options.zone) {
    if (!is_zone(*options.zone))
      return complain(
          "zone", {options.lab, fmt::format("zone '{}' is not known here", one_line(*options.zone)),
                   "write it like America/Los_Angeles"});
    if (const auto set = set_in_lab_file(options.lab, "zone", *options.zone); !set)
      return complain("zone", set.error());
    settled->zone = *options.zone;
  }
  const bool own = !settled->zone.empty();
  const std::string& name = own ? settled->zone : computer_zone();
  if (options.json)
    std::cout << json_text(ordered_json{{"lab", options.lab}, {"zone", name}, {"settled", own}})
              << '\n';
  else
    std::cout << (own ? fmt::format("{}: what is recorded here from now on has this zone.\n", name)
                      : fmt::format("{}: this computer's; the lab has settled none.\n", name));
  return 0;
}

}  // namespace

void add_lab(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<LabOptions>();
  LabOptions& o = *options;
  CLI::App* lab = app.add_subcommand("lab", "What a lab has settled for its folder");
  lab->require_subcommand(1);
  CLI::App* sharing = lab->add_subcommand(
      "sharing",
      "Who may read what is written into the lab's folder; sets it for what is there too");
  sharing->add_option("lab", o.lab, "The lab's folder")->required()->type_name("LAB");
  sharing->add_option("who", o.sharing, "Shown when not given")
      ->check(CLI::IsMember({"owner", "group"}));
  sharing->add_flag("--json", o.json, "Print JSON");
  sharing->callback([options, &exit_code] {
    exit_code = options->sharing ? set_sharing(*options) : show_sharing(*options);
  });
  CLI::App* zoned = lab->add_subcommand(
      "zone",
      "The time zone by whose days the lab goes; sets it for what is recorded from then on");
  zoned->add_option("lab", o.lab, "The lab's folder")->required()->type_name("LAB");
  zoned->add_option("name", o.zone, "IANA name, such as America/Los_Angeles; shown when not given")
      ->type_name("ZONE");
  zoned->add_flag("--json", o.json, "Print JSON");
  zoned->callback([options, &exit_code] { exit_code = zone(*options); });
}

}  // namespace moundwork::cli
