// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <utility>

#include "app/cli/index/commands.h"
#include "app/cli/index/common.h"
#include "app/cli/index/shown.h"
#include "app/index/queries.h"
#include "app/index/standing.h"
#include "core/base/one_line.h"
#include "core/relate/words.h"

namespace moundwork::cli {
namespace {

using nlohmann::ordered_json;
using relate::count_of;

struct GroupOptions : IndexOptions, QuantityOptions {
  std::string athlete, hand;
  index::GroupFilter filter;
};

std::string filter_in_words(const GroupOptions& options) {
  std::string text;
  const auto& [from, to] = std::pair{options.filter.age_from, options.filter.age_to};
  if (from && to)
    text += fmt::format(", aged {} to {}", *from, *to);
  else if (from)
    text += fmt::format(", aged {} and above", *from);
  else if (to)
    text += fmt::format(", aged up to {}", *to);
  if (!options.hand.empty()) text += fmt::format(", throwing with the {}", options.hand);
  if (options.filter.least_throws > 1)
    text += fmt::format(", sessions of {} throws and more", options.filter.least_throws);
  return text;
}

// Numbers for programs, SI; null where the group is too small for them.
ordered_json json_of(const Shown& one, const index::Standing& standing,
                     const std::string& athlete) {
  const auto& spread = standing.others;
  ordered_json json{{"quantity", one.key},
                    {"unit", definitions::entry(one.quantity).unit},
                    {"athletes", spread.athletes},
                    {"percentiles", nullptr}};
  if (!spread.percentiles.empty()) {
    json["percentiles"] = ordered_json::object();
    for (const auto& [percent, value] : spread.percentiles)
      json["percentiles"][std::to_string(percent)] = value;
  } else if (spread.middle) {
    json["lowest"] = spread.middle->lowest;
    json["median"] = spread.middle->median;
    json["highest"] = spread.middle->highest;
  }
  if (athlete.empty()) return json;
  json["place"] = nullptr;
  if (standing.own && standing.place)
    json["place"] = {
        {"athlete", athlete},
        {"session", standing.own->session},
        {"mean", standing.own->mean.value},
        {"u", or_null(standing.own->mean.u)},
        {"below", standing.place->below},
        {"equal", standing.place->equal},
        {"percentile",
         spread.percentiles.empty() ? ordered_json() : ordered_json(standing.place->percentile())}};
  return json;
}

std::string in_words(const Shown& one, const index::Standing& standing, const GroupOptions& options,
                     const std::string& athlete) {
  const auto& spread = standing.others;
  const auto shown = [&](double value) { return one.text(value, standing.u); };
  std::string text = fmt::format(
      "{}, {}: {}{}{}\n", one.key, one.as.unit, count_of(spread.athletes, "athlete", "athletes"),
      filter_in_words(options), athlete.empty() ? "" : ", without " + one_line(athlete));
  if (!spread.percentiles.empty()) {
    text += " ";
    for (const auto& [percent, value] : spread.percentiles)
      text += fmt::format(" {} %: {} ", percent, shown(value));
    text += "\n";
  } else if (spread.middle) {
    text += fmt::format("  lowest {}, median {}, highest {}; percentiles need {} athletes\n",
                        shown(spread.middle->lowest), shown(spread.middle->median),
                        shown(spread.middle->highest), summary::least_for_percentile);
  } else {
    text += fmt::format("  too few: with fewer than {} a number would be one person's\n",
                        summary::least_others);
  }
  if (athlete.empty()) return text;
  if (!standing.own) {
    text += fmt::format("  {} has no session that fits\n", one_line(athlete));
  } else if (standing.place) {
    text += fmt::format("  {}: {} on {}, {} of {} lie below", one_line(athlete),
                        shown(standing.own->mean.value), standing.own->day, standing.place->below,
                        spread.athletes);
    if (!spread.percentiles.empty())
      text += fmt::format(", percentile {:.0f}", standing.place->percentile());
    text += "\n";
  }
  return text;
}

int group(GroupOptions options) {
  const auto index = open(options, index::Access::read);
  if (!index) return complain_of_index(index.error()), 1;
  const auto shown = shown_of(options, {});
  if (!shown) return complain_of_index(shown.error()), 1;
  if (!options.hand.empty())
    options.filter.throws = options.hand == "left" ? session::Hand::left : session::Hand::right;
  if (options.filter.age_from && options.filter.age_to &&
      *options.filter.age_from > *options.filter.age_to)
    return complain_of_index(Error{"--age-to", "is below --age-from", {}}), 1;
  std::string athlete;
  if (!options.athlete.empty()) {
    const auto found = index::find_athlete(*index, options.athlete);
    if (!found) return complain_of_index(found.error()), 1;
    athlete = found->id;
  }
  ordered_json parts = ordered_json::array();
  std::string text;
  for (const Shown& one : *shown) {
    const auto standing = index::stand(*index, one.quantity, options.filter, athlete);
    if (!standing) return complain_of_index(standing.error()), 1;
    parts.push_back(json_of(one, *standing, athlete));
    text += in_words(one, *standing, options, athlete);
  }
  if (options.json)
    print_json({{"groups", std::move(parts)}});
  else
    std::cout << text;
  return 0;
}

}  // namespace

void add_index_group(CLI::App& index, int& exit_code) {
  auto options = std::make_shared<GroupOptions>();
  auto* command = index.add_subcommand(
      "group", "Where athletes lie: each one's latest session mean, in percentiles");
  add_quantity(*command, *options, true);
  command->add_option("--age-from", options->filter.age_from, "Youngest, in whole years")
      ->check(CLI::Range(0, 130))
      ->type_name("YEARS");
  command->add_option("--age-to", options->filter.age_to, "Oldest, in whole years")
      ->check(CLI::Range(0, 130))
      ->type_name("YEARS");
  command->add_option("--throws", options->hand, "Throwing hand")
      ->check(CLI::IsMember({"left", "right"}));
  command
      ->add_option("--least-throws", options->filter.least_throws,
                   "Pass over sessions with fewer throws of the quantity")
      ->check(CLI::Range(1, 1000))
      ->capture_default_str();
  command->add_option("--athlete", options->athlete, "Tell this athlete's place among the others")
      ->type_name("ATHLETE");
  add_common(*command, *options);
  command->callback([options, &exit_code] { exit_code = group(*options); });
}

}  // namespace moundwork::cli
