// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/export.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "app/cli/error_words.h"
#include "app/cli/json_text.h"
#include "app/cli/progress.h"
#include "app/index/listing.h"
#include "core/output/lab_key_place.h"
#include "core/output/write_all.h"

namespace moundwork::cli {
namespace {

namespace fs = std::filesystem;

struct ExportOptions {
  std::vector<std::string> sessions;
  std::string out;
  std::vector<std::string> formats;
  std::optional<std::string> key, index;
  bool traces = false, pseudonymous = false, replace = false, json = false;
};

std::string count_of(std::size_t count, const char* noun) {
  return fmt::format("{} {}{}", count, noun, count == 1 ? "" : "s");
}

void print_json(const output::Written& written, const std::optional<fs::path>& key) {
  nlohmann::ordered_json json;
  json["files"] = nlohmann::ordered_json::array();
  for (const auto& file : written.files) json["files"].push_back(file.path.string());
  json["sessions"] = written.sessions;
  json["throws"] = written.throws;
  json["excluded"] = written.excluded;
  json["pseudonymous"] = key.has_value();
  if (key) json["key"] = key->string();
  std::cout << json_text(json) << '\n';
}

void print_text(const output::Written& written, const std::optional<fs::path>& key) {
  std::cout << fmt::format("{} of {}", count_of(written.throws, "throw"),
                           count_of(written.sessions, "session"));
  if (written.excluded > 0) std::cout << fmt::format(", {} marked as excluded", written.excluded);
  std::cout << '\n';
  std::map<fs::path, std::vector<fs::path>> folders;
  for (const auto& file : written.files) folders[file.path.parent_path()].push_back(file.path);
  // A day's throws are hundreds of files.
  constexpr std::size_t most_listed = 6;
  for (const auto& [folder, files] : folders) {
    if (files.size() > most_listed)
      std::cout << "  " << (folder / "").string() << ": " << count_of(files.size(), "file") << '\n';
    else
      for (const fs::path& file : files) std::cout << "  " << file.string() << '\n';
  }
  if (key)
    std::cout << "Codes stand for names. They come from the key in " << key->string()
              << ": keep it, and to yourself.\n";
}

Result<void> run(const ExportOptions& options) {
  const auto wants = [&](const char* format) {
    return std::find(options.formats.begin(), options.formats.end(), format) !=
           options.formats.end();
  };
  output::Wanted wanted;
  wanted.sessions.assign(options.sessions.begin(), options.sessions.end());
  wanted.out = fs::path(options.out).lexically_normal();
  wanted.csv = wants("csv");
  wanted.hdf5 = wants("hdf5");
  wanted.c3d = wants("c3d");
  wanted.traces = options.traces;
  wanted.replace = options.replace;
  std::optional<fs::path> key_file;
  if (options.pseudonymous) {
    const auto place = output::lab_key_for(
        wanted.sessions, options.key ? std::optional<fs::path>(*options.key) : std::nullopt);
    if (!place) return tl::make_unexpected(place.error());
    if (!place->remark.empty()) std::cerr << "moundwork export: " << place->remark << '\n';
    const auto key = output::key_of(*place);
    if (!key) return tl::make_unexpected(key.error());
    wanted.key = *key;
    key_file = place->path;
  }
  // Opened before anything is written: an export that cannot be listed is not made.
  const auto index = index::open_index_if_named(options.index, index::Access::write);
  if (!index) return tl::make_unexpected(index.error());
  const auto written = [&] {
    ProgressLine line;
    return output::write_all(wanted, line.of("exporting"));
  }();
  if (!written) return tl::make_unexpected(written.error());
  if (*index)
    if (auto listed = index::list_in(**index, *written); !listed) return listed;
  if (options.json)
    print_json(*written, key_file);
  else
    print_text(*written, key_file);
  return {};
}

}  // namespace

void add_export(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<ExportOptions>();
  ExportOptions& o = *options;
  o.formats = {"csv"};
  CLI::App* command = app.add_subcommand(
      "export", "Tables of throws and recordings of each throw, for other programs");
  command->add_option("sessions", o.sessions, "Analysed session files")
      ->required()
      ->type_name("FILE");
  command->add_option("--out", o.out, "Folder to write into; for hdf5 alone also a file .hdf5")
      ->required()
      ->type_name("PLACE");
  command
      ->add_option("--format", o.formats, "csv, hdf5 (tables) or c3d (each throw); may be repeated")
      ->allow_extra_args(false)
      ->check(CLI::IsMember({"csv", "hdf5", "c3d"}))
      ->capture_default_str();
  command->add_flag("--traces", o.traces,
                    "Also each throw's forces and centre of pressure over time, as CSV");
  auto* pseudonymous = command->add_flag("--pseudonymous", o.pseudonymous,
                                         "Codes in place of names, ages in place of birthdays");
  command
      ->add_option(
          "--key", o.key,
          "The key for the codes, made where there is none; lab.key of the lab's folder when not "
          "said, else the account's")
      ->needs(pseudonymous)
      ->type_name("FILE");
  command
      ->add_option("--index", o.index,
                   "The lab's index, to list the files in: they go when an athlete is forgotten; "
                   "MOUNDWORK_INDEX when not said")
      ->type_name("INDEX");
  command->add_flag("--force", o.replace, "Replace files that are there");
  command->add_flag("--json", o.json, "Print what was written as JSON");
  command->callback([options, &exit_code] {
    const auto done = run(*options);
    if (done) return;
    std::cerr << "moundwork export: " << error_words(done.error()) << '\n';
    exit_code = 1;
  });
}

}  // namespace moundwork::cli
