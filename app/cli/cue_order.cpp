// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/cue_order.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdint>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "app/cli/error_words.h"
#include "app/cli/json_text.h"
#include "app/cli/whole_number.h"
#include "core/base/sentence.h"
#include "core/base/utf8.h"
#include "core/base/wall_time.h"
#include "core/pitch/companion_check.h"
#include "core/relate/cue_order.h"
#include "core/session/edit_list.h"
#include "core/session/reader.h"

namespace moundwork::cli {
namespace {

struct CueOrderOptions {
  std::vector<std::string> cues;
  int throws = 0, run = 1;
  std::optional<std::uint64_t> seed;
  std::string session, who;
  bool json = false;
};

Result<void> keep(const session::CueOrder& order, const CueOrderOptions& options) {
  const auto reader = session::Reader::open(options.session);
  if (!reader) return tl::make_unexpected(reader.error());
  const auto settled = pitch::settle_companion(*reader);
  if (!settled) return tl::make_unexpected(settled.error());
  if (*settled)
    std::cerr << "moundwork cue-order: " << options.session << ": " << **settled << ".\n";
  session::Edit edit = session::keep_cue_order(order);
  edit.when = iso_now();
  edit.who = valid_utf8(options.who);
  const auto kept = session::append_edit(options.session, edit);
  if (!kept) return tl::make_unexpected(kept.error());
  return {};
}

nlohmann::ordered_json json_of(const session::CueOrder& order) {
  auto places = nlohmann::ordered_json::array();
  for (std::size_t i = 0; i < order.kinds.size(); ++i) {
    const std::string cue = order.cue_at(i);
    places.push_back(cue.empty() ? nlohmann::ordered_json(nullptr) : nlohmann::ordered_json(cue));
  }
  return {{"cues", order.cues},
          {"throws", order.kinds.size()},
          {"run", order.run},
          {"seed", order.seed},
          {"order", std::move(places)}};
}

// A list to read off beside the mound.
std::string list_of(const session::CueOrder& order) {
  const auto throws = "throws"_is(order.kinds.size());
  const auto run = "run"_is(order.run);
  const auto seed = "seed"_is(std::to_string(order.seed));
  std::string text =
      (order.run == 1
           ? sentence("Order of {throws} throws, drawn throw by throw with seed {seed}", throws,
                      seed)
           : sentence("Order of {throws} throws, drawn in runs of {run} with seed {seed}", throws,
                      run, seed)) +
      "\n";
  for (std::size_t i = 0; i < order.kinds.size(); ++i) {
    const std::string cue = order.cue_at(i);
    text += fmt::format("{:4}  {}\n", i + 1, cue.empty() ? sentence("no cue") : cue);
  }
  return text;
}

Result<void> run(const CueOrderOptions& options) {
  const auto order = relate::draw_cue_order(options.cues, options.throws, options.run,
                                            options.seed ? *options.seed : relate::new_cue_seed());
  if (!order) return tl::make_unexpected(order.error());
  if (!options.session.empty())
    if (auto kept = keep(*order, options); !kept) return kept;
  if (const int fewest = relate::fewest_runs_of_a_kind(*order);
      fewest < relate::fewest_runs && order->run > 1)
    std::cerr << sentence_for(
                     fewest,
                     "moundwork cue-order: some kind has only {count} run, and under {fewest} of "
                     "each nothing can be told of a cue; give more throws or shorter runs.",
                     "moundwork cue-order: some kind has only {count} runs, and under {fewest} of "
                     "each nothing can be told of a cue; give more throws or shorter runs.",
                     "count"_is(fewest), "fewest"_is(relate::fewest_runs))
              << '\n';
  if (options.json)
    std::cout << json_text(json_of(*order)) << '\n';
  else
    std::cout << list_of(*order);
  return {};
}

}  // namespace

void add_cue_order(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<CueOrderOptions>();
  CueOrderOptions& o = *options;
  CLI::App* command =
      app.add_subcommand("cue-order", "Draw by chance which throws get which cue and which none");
  command->add_option("--cue", o.cues, "What is said to the athlete, as heel; may be repeated")
      ->required()
      ->allow_extra_args(false)
      ->option_text("CUE");
  command->add_option("--throws", o.throws, "How many throws")->required()->option_text("NUMBER");
  command->add_option("--run", o.run, "So many throws of a kind together")
      ->capture_default_str()
      ->option_text("NUMBER");
  command->add_option("--seed", o.seed, "Of the random numbers; drawn where none is given")
      ->check(CLI::Validator(whole_number, "WHOLE NUMBER"))
      ->option_text("NUMBER");
  command
      ->add_option("--session", o.session,
                   "Session file to keep the order in, from its first throw")
      ->option_text("FILE");
  command->add_option("--who", o.who, "Who draws it");
  command->add_flag("--json", o.json, "Print JSON");
  command->callback([options, &exit_code] {
    const auto done = run(*options);
    if (done) return;
    std::cerr << "moundwork cue-order: " << error_words(done.error()) << '\n';
    exit_code = 1;
  });
}

}  // namespace moundwork::cli
