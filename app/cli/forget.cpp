// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/forget.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "app/cli/error_words.h"
#include "app/cli/json_text.h"
#include "app/index/forget.h"
#include "core/base/one_line.h"
#include "core/relate/words.h"

namespace moundwork::cli {
namespace {

using nlohmann::ordered_json;
using relate::count_of;

struct ForgetOptions {
  std::string athlete, index;
  std::vector<std::string> labs;
  bool yes = false, json = false, roster = false;
};

enum ExitCode { all_gone = 0, nothing_deleted = 1, some_left = 2 };

// What no index can know of.
constexpr const char* beyond =
    "Not reached by this: backups, files outside the lab's folder that were never added to this\n"
    "index, what was sent or printed, and lists of people other than the lab's roster.\n";

const char* word_for(index::Reach reach) {
  switch (reach) {
    case index::Reach::here:
      return "here";
    case index::Reach::gone:
      return "gone already";
    case index::Reach::elsewhere:
      return "on another station";
    case index::Reach::away:
      return "its disk or share is not there";
    case index::Reach::other:
      return "another session lies there now, kept";
  }
  throw std::logic_error("a reach without a word");
}

std::string size_in_words(std::uintmax_t bytes) {
  const double size = static_cast<double>(bytes);
  if (size < 1e6) return fmt::format("{:.0f} kB", std::max(1.0, size * 1e-3));
  return fmt::format("{:.1f} MB", size * 1e-6);
}

// How many files of each kind go.
std::map<std::string, std::size_t> counts_of(const index::ForgetPlan& plan) {
  std::map<std::string, std::size_t> counts;
  for (const index::Doomed& doomed : plan.listed)
    if (!doomed.files.empty()) counts[doomed.what] += doomed.files.size();
  return counts;
}

std::string in_words(const index::ForgetPlan& plan) {
  const auto& athlete = plan.athlete;
  std::string text = one_line(athlete.id);
  if (!athlete.name.empty() && athlete.name != athlete.id) text += ", " + one_line(athlete.name);
  if (!athlete.born.empty()) text += ", born " + athlete.born;
  text += "\n\nFiles:\n";
  for (const index::Doomed& doomed : plan.listed) {
    if (doomed.reach == index::Reach::here) {
      for (const auto& file : doomed.files) text += "  " + file.string() + "\n";
      text += fmt::format("    {}, {}", doomed.what, size_in_words(doomed.bytes));
      if (doomed.others > 0)
        text += fmt::format("; also holds {}",
                            count_of(doomed.others, "other athlete", "other athletes"));
      text += "\n";
      continue;
    }
    text += fmt::format("  {}{}\n    {}, {}\n",
                        doomed.reach == index::Reach::elsewhere ? doomed.station + ": " : "",
                        doomed.path, doomed.what, word_for(doomed.reach));
    for (const auto& file : doomed.files) text += "  " + file.string() + "\n";
  }
  if (plan.listed.empty()) text += "  none\n";
  for (const auto& [kind, number] : counts_of(plan)) text += fmt::format("{} x {}\n", number, kind);
  if (plan.sessions > 0)
    text += fmt::format(
        "Rows of the index: {}, {}, {}\n", count_of(plan.sessions, "session", "sessions"),
        count_of(plan.throws, "throw", "throws"), count_of(plan.edits, "edit", "edits"));
  if (plan.on_roster)
    text += plan.take_off_roster ? "The row on the lab's roster goes too.\n"
                                 : "The row on the lab's roster stays; --roster takes it off.\n";
  if (!plan.shared.empty()) {
    text += "Others are in these too, so they stay; make them again afterwards:\n";
    for (const auto& file : plan.shared) text += "  " + file.string() + "\n";
  }
  if (!plan.perhaps.empty()) {
    text += "These may be of the same person under another id; they stay until that is settled:\n";
    for (const auto& file : plan.perhaps) text += "  " + file.string() + "\n";
  }
  text += "\n";
  return text + beyond + "\n";
}

bool confirmed(const std::string& id) {
  std::cout << fmt::format("Type {} to delete all of this for good: ", one_line(id)) << std::flush;
  std::string answer;
  std::getline(std::cin, answer);
  return answer == one_line(id);
}

ordered_json json_of(const index::ForgetPlan& plan) {
  ordered_json listed = ordered_json::array();
  for (const index::Doomed& doomed : plan.listed) {
    ordered_json files = ordered_json::array();
    for (const auto& file : doomed.files) files.push_back(file.string());
    listed.push_back({{"what", doomed.what},
                      {"session", doomed.session},
                      {"station", doomed.station},
                      {"path", doomed.path},
                      {"reach", word_for(doomed.reach)},
                      {"bytes", doomed.bytes},
                      {"other_athletes", doomed.others},
                      {"files", std::move(files)}});
  }
  ordered_json shared = ordered_json::array();
  for (const auto& file : plan.shared) shared.push_back(file.string());
  ordered_json perhaps = ordered_json::array();
  for (const auto& file : plan.perhaps) perhaps.push_back(file.string());
  return {{"athlete", plan.athlete.id},  {"sessions", plan.sessions},
          {"throws", plan.throws},       {"edits", plan.edits},
          {"counts", counts_of(plan)},   {"on_roster", plan.on_roster},
          {"shared", std::move(shared)}, {"perhaps", std::move(perhaps)},
          {"listed", std::move(listed)}};
}

// The index, as the other commands choose it; none where only the lab's folder is named and this
// account keeps no index.
Result<std::optional<index::Index>> open_index(const ForgetOptions& options) {
  const auto address = index::choose_address(options.index, "--index");
  if (!address) return tl::make_unexpected(address.error());
  std::error_code ignored;
  const bool asked_for = !options.index.empty() || std::getenv("MOUNDWORK_INDEX") != nullptr;
  if (!options.labs.empty() && !asked_for && !std::filesystem::exists(address->file, ignored))
    return std::optional<index::Index>();
  auto index = index::open_index(*address, index::Access::read);
  if (!index) return tl::make_unexpected(index.error());
  return std::optional<index::Index>(std::move(*index));
}

int forget(const ForgetOptions& options) {
  const auto complain = [](const Error& error) {
    std::cerr << "moundwork forget: " << error_words(error) << '\n';
    return nothing_deleted;
  };
  const auto opened = open_index(options);
  if (!opened) return complain(opened.error());
  const index::Index* index = *opened ? &**opened : nullptr;
  auto plan =
      index::plan_forgetting(index, {options.labs.begin(), options.labs.end()}, options.athlete);
  if (!plan) return complain(plan.error());
  plan->take_off_roster = options.roster;

  ordered_json document{{"plan", json_of(*plan)}};
  if (!options.json) {
    std::cout << in_words(*plan);
    if (!options.yes && !confirmed(plan->athlete.id)) {
      std::cerr << "moundwork forget: nothing was deleted.\n";
      return nothing_deleted;
    }
  } else if (!options.yes) {
    // A script looks before it acts.
    document["deleted"] = nullptr;
    std::cout << json_text(document) << '\n';
    return nothing_deleted;
  }

  // Files whose rows cannot be taken out would stay listed though they are gone.
  if (index != nullptr)
    if (const auto writable = index::check_writable(*index); !writable)
      return complain(writable.error());
  const auto done = index::carry_out(index, *plan);
  if (!done) {
    complain(done.error());
    return some_left;
  }
  if (options.json) {
    document["deleted"] = done->deleted;
    document["left"] = ordered_json::array();
    for (const auto& left : done->left)
      document["left"].push_back(
          {{"station", left.station}, {"path", left.path}, {"problem", left.problem}});
    document["kept"] = done->not_ours;
    document["off_roster"] = done->off_roster;
    document["remarks"] = done->remarks;
    std::cout << json_text(document) << '\n';
  } else {
    std::cout << fmt::format("{} deleted.\n", count_of(static_cast<int>(done->deleted.size()),
                                                       "file was", "files were"));
    if (done->off_roster) std::cout << "The row on the lab's roster is deleted.\n";
    for (const std::string& remark : done->remarks) std::cout << "Note: " << remark << ".\n";
    for (const auto& left : done->left)
      std::cerr << fmt::format("moundwork forget: {} is left: {}.\n", left.path, left.problem);
    if (!done->left.empty())
      std::cerr << fmt::format(
          "moundwork forget: the index still lists what is left; run it again for the rest.\n");
  }
  return done->left.empty() ? all_gone : some_left;
}

}  // namespace

void add_forget(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<ForgetOptions>();
  ForgetOptions& o = *options;
  CLI::App* command = app.add_subcommand(
      "forget", "Delete an athlete: session files, exports and rows, after showing them");
  command->add_option("athlete", o.athlete, "Id, or name that only one has")
      ->required()
      ->type_name("ATHLETE");
  command
      ->add_option("--index", o.index,
                   "File or postgresql://USER@HOST/DATABASE; MOUNDWORK_INDEX when not said, else a "
                   "file of this account")
      ->type_name("INDEX");
  command
      ->add_option("--lab", o.labs,
                   "The lab's folder, looked through whether or not an index lists its files; the "
                   "folder of a listed session when not said")
      ->allow_extra_args(false)
      ->type_name("FOLDER");
  command->add_flag("--roster", o.roster, "Take the athlete off the lab's roster too");
  command->add_flag("--yes", o.yes, "Do not ask");
  command->add_flag("--json", o.json, "Print JSON; without --yes only what would be deleted");
  command->callback([options, &exit_code] { exit_code = forget(*options); });
}

}  // namespace moundwork::cli
