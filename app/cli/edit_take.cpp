// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/edit_take.h"

#include <fmt/format.h>

#include <filesystem>
#include <iostream>
#include <nlohmann/json.hpp>
#include <utility>
#include <vector>

#include "app/cli/error_words.h"
#include "app/cli/json_text.h"
#include "app/summary/job.h"
#include "core/base/one_line.h"
#include "core/base/utf8.h"
#include "core/base/wall_time.h"
#include "core/intake/throw_log.h"
#include "core/relate/session_input.h"
#include "core/session/edit_list.h"
#include "core/session/reader.h"

namespace moundwork::cli {
namespace {

namespace fs = std::filesystem;

struct Taken {
  fs::path session;
  std::size_t throws = 0;
  std::vector<session::Edit> edits;
};

// What every session lacks, before any is changed.
Result<std::vector<Taken>> planned_tags(const TakeOptions& options) {
  const auto log = intake::read_throw_log(options.log);
  if (!log) return tl::make_unexpected(log.error());
  const auto files = summary::session_files({options.place});
  if (!files) return tl::make_unexpected(files.error());
  std::vector<intake::LogTarget> targets;
  for (const fs::path& file : *files) {
    const auto reader = session::Reader::open(file);
    // A file that the log does not name need not be sound.
    if (!reader && files->size() == 1) return tl::make_unexpected(reader.error());
    targets.push_back({file.filename().string(), reader ? reader->session().id : std::string()});
  }
  const auto of_session = intake::sessions_of(*log, targets);
  if (!of_session) return tl::make_unexpected(of_session.error());
  std::vector<std::vector<const intake::LoggedThrow*>> lines(targets.size());
  for (std::size_t i = 0; i < log->throws.size(); ++i)
    lines[(*of_session)[i]].push_back(&log->throws[i]);

  std::vector<Taken> all;
  const std::string now = iso_now();
  const std::string who = valid_utf8(options.who);
  for (std::size_t i = 0; i < targets.size(); ++i) {
    if (lines[i].empty()) continue;
    const auto analysed = relate::read_analysed_session((*files)[i]);
    if (!analysed) return tl::make_unexpected(analysed.error());
    auto edits = intake::edits_from_log(*log, lines[i], analysed->results, analysed->edits);
    if (!edits) return tl::make_unexpected(edits.error());
    for (session::Edit& edit : *edits) {
      edit.when = now;
      edit.who = who;
      edit.why = "from a log";
    }
    all.push_back({(*files)[i], lines[i].size(), std::move(*edits)});
  }
  return all;
}

}  // namespace

int take_log(const TakeOptions& options) {
  const auto complain = [](const Error& error) {
    std::cerr << "moundwork edit: " << error_words(error) << '\n';
    return 1;
  };
  const auto all = planned_tags(options);
  if (!all) return complain(all.error());
  nlohmann::ordered_json rows = nlohmann::ordered_json::array();
  for (const Taken& one : *all) {
    if (!one.edits.empty())
      if (const auto first = session::append_edits(one.session, one.edits); !first)
        return complain(first.error());
    const std::string file = one.session.string();
    rows.push_back(
        {{"session", valid_utf8(file)}, {"throws", one.throws}, {"edits", one.edits.size()}});
    if (options.json) continue;
    if (one.edits.empty())
      std::cout << fmt::format("{}: has all that the log says\n", one_line(file));
    else
      std::cout << fmt::format("{}: {} tags of {} throws. Analyse again to see them there.\n",
                               one_line(file), one.edits.size(), one.throws);
  }
  if (options.json) std::cout << json_text(rows) << '\n';
  return 0;
}

}  // namespace moundwork::cli
