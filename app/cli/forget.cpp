// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/forget.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "app/cli/error_words.h"
#include "app/cli/json_text.h"
#include "app/index/forget.h"
#include "core/base/one_line.h"
#include "core/relate/words.h"

namespace moundwork::cli {
namespace {

using nlohmann::ordered_json;
using relate::count_of;

struct Options {
  std::string athlete, index;
  bool yes = false, json = false;
};

enum ExitCode { all_gone = 0, nothing_deleted = 1, some_left = 2 };

// What no index can know of.
constexpr const char* beyond =
    "Not reached by this: backups, files that were never added to this index, what was sent or\n"
    "printed, lists of people such as a roster, and weigh-ins outside the lab's folder.\n";

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
  text += fmt::format(
      "Rows of the index: {}, {}, {}\n\n", count_of(plan.sessions, "session", "sessions"),
      count_of(plan.throws, "throw", "throws"), count_of(plan.edits, "edit", "edits"));
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
  return {{"athlete", plan.athlete.id},
          {"sessions", plan.sessions},
          {"throws", plan.throws},
          {"edits", plan.edits},
          {"listed", std::move(listed)}};
}

int forget(const Options& options) {
  const auto complain = [](const Error& error) {
    std::cerr << "moundwork forget: " << error_words(error) << '\n';
    return nothing_deleted;
  };
  const auto address = index::choose_address(options.index);
  if (!address) return complain(address.error());
  const auto index = index::open_index(*address, index::Access::read);
  if (!index) return complain(index.error());
  const auto plan = index::plan_forgetting(*index, options.athlete);
  if (!plan) return complain(plan.error());

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
  if (const auto writable = index::check_writable(*index); !writable)
    return complain(writable.error());
  const auto done = index::carry_out(*index, *plan);
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
    document["remarks"] = done->remarks;
    std::cout << json_text(document) << '\n';
  } else {
    std::cout << fmt::format("{} deleted.\n", count_of(static_cast<int>(done->deleted.size()),
                                                       "file was", "files were"));
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
  auto options = std::make_shared<Options>();
  Options& o = *options;
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
  command->add_flag("--yes", o.yes, "Do not ask");
  command->add_flag("--json", o.json, "Print JSON; without --yes only what would be deleted");
  command->callback([options, &exit_code] { exit_code = forget(*options); });
}

}  // namespace moundwork::cli
