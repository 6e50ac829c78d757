// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/throw_json.h"

#include <cmath>
#include <cstddef>
#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <utility>

#include "core/ball/release.h"
#include "core/definitions/catalogue.h"
#include "core/session/throw_fields.h"

namespace moundwork::cli {

using nlohmann::ordered_json;

namespace {

ordered_json json_of(const Measured& measured) {
  return {{"value", measured.value}, {"u", measured.u}};
}

// What each source adds to a number's standard uncertainty, and what the thresholds would change.
ordered_json budget_of(const pitch::Contributions& parts, double thresholds) {
  ordered_json json;
  for (std::size_t i = 0; i < parts.size(); ++i)
    json[std::string(pitch::name_of(static_cast<pitch::Source>(i)))] = parts[i];
  json["thresholds_a_fifth_higher"] =
      std::isfinite(thresholds) ? ordered_json(thresholds) : ordered_json();
  return json;
}

// What nobody said is null; a ball is a baseball unless somebody said otherwise.
ordered_json fields_json(const std::map<std::string, std::string>& tags) {
  const session::ThrowFields fields = session::fields_of(tags);
  const auto said = [](const std::string& text) {
    return text.empty() ? ordered_json() : ordered_json(text);
  };
  return {{"pitch_type", said(fields.pitch_type)},
          {"delivery", said(fields.delivery)},
          {"effort", std::isfinite(fields.effort) ? ordered_json(fields.effort) : ordered_json()},
          {"warm_up", fields.warm_up},
          {"ball_mass", fields.ball_mass},
          {"block", said(fields.block)}};
}

}  // namespace

ordered_json throw_json(const pitch::AnalysedThrow& thrown, bool budget) {
  ordered_json json{{"number", thrown.number}};
  ordered_json missing = ordered_json::array();
  const auto put = [&](const char* group, auto name, const pitch::Contributions& parts,
                       double thresholds) {
    const std::string key(definitions::entry(name).key);
    const Measured measured = thrown.measured(name);
    if (!measured.known()) {
      missing.push_back(key);
      return;
    }
    json[group][key] = json_of(measured);
    if (budget) json[group][key]["budget"] = budget_of(parts, thresholds);
  };
  json["events"] = ordered_json::object();
  json["quantities"] = ordered_json::object();
  for (std::size_t i = 0; i < definitions::event_count; ++i)
    put("events", static_cast<definitions::Event>(i), thrown.uncertainty.events[i],
        thrown.uncertainty.event_thresholds[i]);
  for (std::size_t i = 0; i < definitions::quantity_count; ++i)
    put("quantities", static_cast<definitions::Quantity>(i), thrown.uncertainty.quantities[i],
        thrown.uncertainty.quantity_thresholds[i]);
  json["not_measured"] = std::move(missing);
  json["release_candidates"] = ordered_json::array();
  for (const auto& candidate : thrown.release.candidates)
    json["release_candidates"].push_back(
        {{"source", ball::source_of(candidate)}, {"value", candidate.time}, {"u", candidate.u}});
  json["flags"] = ordered_json::array();
  for (const auto& flag : thrown.flags) json["flags"].push_back(flag.key);
  json["flag_details"] = ordered_json::array();
  for (const auto& flag : thrown.flags) json["flag_details"].push_back(flag.detail);
  json["excluded"] = thrown.excluded ? ordered_json{{"why", thrown.excluded->why},
                                                    {"who", thrown.excluded->who},
                                                    {"when", thrown.excluded->when}}
                                     : ordered_json();
  json["tags"] = thrown.tags;
  json["fields"] = fields_json(thrown.tags);
  return json;
}

}  // namespace moundwork::cli
