// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/summarise.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "app/cli/error_words.h"
#include "app/cli/json_text.h"
#include "app/cli/progress.h"
#include "app/index/queries.h"
#include "app/summary/application.h"
#include "app/summary/job.h"
#include "app/summary/listing.h"
#include "core/output/lab_key_place.h"
#include "core/session/identity.h"

namespace moundwork::cli {
namespace {

namespace fs = std::filesystem;

struct SummariseOptions {
  std::vector<std::string> sessions, previous, group;
  std::optional<std::string> out, index, key, pitch_counts;
  std::optional<int> age_range;
  bool any_age = false;
  std::string paper = "a4", speed_unit = "m/s";
  bool pdf = false, html = false, pseudonymous = false, replace = false, json = false;
};

Result<summary::Job> job_of(const SummariseOptions& options) {
  summary::Job job;
  for (const auto& [places, files] : {std::pair{&options.sessions, &job.sessions},
                                      {&options.previous, &job.previous},
                                      {&options.group, &job.group}}) {
    auto found = summary::session_files(*places);
    if (!found) return tl::make_unexpected(found.error());
    *files = std::move(*found);
  }
  job.others = {options.any_age, options.age_range};
  if (options.out) job.out = *options.out;
  job.paper = summary::paper_from(options.paper).value_or(summary::Paper::a4);
  // Neither asked for is both.
  job.pdf = options.pdf || !options.html;
  job.html = options.html || !options.pdf;
  job.speed_unit = definitions::speed_unit_from(options.speed_unit).value_or(job.speed_unit);
  job.replace = options.replace;
  job.software = "Moundwork " MOUNDWORK_VERSION;
  if (options.pitch_counts) {
    auto table = safety::read_pitch_counts(*options.pitch_counts);
    if (!table) return tl::make_unexpected(table.error());
    job.pitch_counts = std::move(*table);
  }
  if (options.pseudonymous) {
    const auto place = output::lab_key_for(
        job.sessions, options.key ? std::optional<fs::path>(*options.key) : std::nullopt);
    if (!place) return tl::make_unexpected(place.error());
    if (!place->remark.empty()) std::cerr << "moundwork summarise: " << place->remark << '\n';
    const auto key = output::key_of(*place);
    if (!key) return tl::make_unexpected(key.error());
    job.key = *key;
  }
  return job;
}

nlohmann::ordered_json json_of(const std::vector<fs::path>& files) {
  auto list = nlohmann::ordered_json::array();
  for (const fs::path& file : files) list.push_back(file.string());
  return list;
}

void print_json(const summary::MadePages& made, bool pseudonymous) {
  const auto in_json = [&](const Error& error) {
    return pseudonymous ? error_words({"a session", error.what, error.advice, error.remedy})
                        : error_words(error);
  };
  nlohmann::ordered_json json;
  json["pages"] = nlohmann::ordered_json::array();
  for (const auto& page : made.pages)
    // A file's name may hold a person's.
    json["pages"].push_back({{"session", pseudonymous ? page.id : page.session.string()},
                             {"athlete", page.shown_as},
                             {"throws", page.counted},
                             {"excluded", page.found - page.counted},
                             {"files", json_of(page.files)}});
  json["cover"] = json_of(made.cover);
  json["failed"] = nlohmann::ordered_json::array();
  for (const Error& error : made.failed) json["failed"].push_back(in_json(error));
  json["remarks"] = nlohmann::ordered_json::array();
  for (const Error& error : made.remarks) json["remarks"].push_back(in_json(error));
  json["pseudonymous"] = pseudonymous;
  std::cout << json_text(json) << '\n';
}

void print_text(const summary::MadePages& made) {
  for (const auto& page : made.pages) {
    std::cout << fmt::format("{}, {}{} throw{} counted\n", page.shown_as, page.counted,
                             page.found > page.counted ? fmt::format(" of {}", page.found) : "",
                             page.found == 1 ? "" : "s");
    for (const fs::path& file : page.files) std::cout << "  " << file.string() << '\n';
  }
  if (made.cover.empty()) return;
  std::cout << "Cover sheet for the lab\n";
  for (const fs::path& file : made.cover) std::cout << "  " << file.string() << '\n';
}

Result<int> run(const SummariseOptions& options) {
  summary::ensure_application();
  auto job = job_of(options);
  if (!job) return tl::make_unexpected(job.error());
  const auto index = index::open_index_if_named(options.index, index::Access::write);
  if (!index) return tl::make_unexpected(index.error());
  if (*index && options.group.empty())
    job->group_of = [&](const session::Athlete& athlete, summary::Group wanted) {
      return index::group_beside(**index, session::identity_of(athlete), {}, std::move(wanted));
    };
  const auto made = [&] {
    ProgressLine line;
    return summary::make_pages(*job, line.of("making pages"));
  }();
  if (!made) return tl::make_unexpected(made.error());
  for (const auto* errors : {&made->failed, &made->remarks})
    for (const Error& error : *errors)
      std::cerr << "moundwork summarise: " << error_words(error) << '\n';
  if (*index)
    if (auto done = summary::list_in(**index, *made); !done)
      return tl::make_unexpected(done.error());
  if (options.json)
    print_json(*made, options.pseudonymous);
  else
    print_text(*made);
  return made->failed.empty() ? 0 : 1;
}

void add_summarise_options(CLI::App& command, SummariseOptions& o) {
  command.add_option("sessions", o.sessions, "Analysed session files, or a day's folder of them")
      ->required()
      ->type_name("FILE");
  command.add_option("--out", o.out, "Folder for the pages; beside each session when not said")
      ->type_name("FOLDER");
  command.add_flag("--pdf", o.pdf, "Only PDF, for paper");
  command.add_flag("--html", o.html, "Only HTML, for a browser");
  command.add_option("--paper", o.paper, "a4 or letter")
      ->check(CLI::IsMember({"a4", "letter"}))
      ->capture_default_str();
  command.add_option("--speed-unit", o.speed_unit, "Unit of ball speed")
      ->check(CLI::IsMember({"m/s", "km/h", "mph"}))
      ->capture_default_str();
  command
      .add_option("--previous", o.previous,
                  "Earlier sessions, or folders of them: what changed since the last")
      ->type_name("FILE");
  command
      .add_option("--group", o.group,
                  "Sessions, or folders of them, of others to stand beside; those summarised "
                  "together when not said")
      ->type_name("FILE");
  command
      .add_option("--index", o.index,
                  "The lab's index: the others come from it, and the pages are listed in it; "
                  "MOUNDWORK_INDEX when not said")
      ->type_name("PLACE");
  auto* any_age = command.add_flag("--any-age", o.any_age,
                                   "Beside others of any age, also an athlete under 18");
  command
      .add_option("--age-range", o.age_range,
                  "Beside others within so many years of the athlete's age, also under 18; when "
                  "not said, from 18 on and within 2 years")
      ->check(CLI::Range(0, 100))
      ->excludes(any_age)
      ->type_name("YEARS");
  command.add_option("--pitch-counts", o.pitch_counts, "The lab's own table of pitch counts")
      ->type_name("FILE");
  auto* pseudonymous = command.add_flag("--pseudonymous", o.pseudonymous,
                                        "Codes in place of names, ages in place of birthdays");
  command
      .add_option(
          "--key", o.key,
          "The key for the codes, made where there is none; lab.key of the lab's folder when not "
          "said, else the account's")
      ->needs(pseudonymous)
      ->type_name("FILE");
  command.add_flag("--force", o.replace, "Replace files that are there");
  command.add_flag("--json", o.json, "Print what was made as JSON");
}

}  // namespace

void add_summarise(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<SummariseOptions>();
  CLI::App* command = app.add_subcommand(
      "summarise", "A page for each athlete to take home, and a cover sheet for the lab");
  add_summarise_options(*command, *options);
  command->callback([options, &exit_code] {
    const auto done = run(*options);
    if (done) {
      exit_code = *done;
      return;
    }
    std::cerr << "moundwork summarise: " << error_words(done.error()) << '\n';
    exit_code = 1;
  });
}

}  // namespace moundwork::cli
