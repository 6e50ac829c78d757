// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/truth_file.h"

#include <cmath>
#include <nlohmann/json.hpp>

namespace moundwork::model {
namespace {

using Json = nlohmann::ordered_json;

Json number(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }

template <class Vector>
Json list(const Vector& values) {
  Json all = Json::array();
  for (Eigen::Index i = 0; i < values.size(); ++i) all.push_back(number(values[i]));
  return all;
}

Json throw_document(const Throw& one) {
  Json events = Json::object();
  for (std::size_t i = 0; i < definitions::event_count; ++i)
    events[std::string(definitions::entry(static_cast<definitions::Event>(i)).key)] =
        number(one.truth.events[i]);
  Json quantities = Json::object();
  for (std::size_t i = 0; i < definitions::quantity_count; ++i)
    quantities[std::string(definitions::entry(static_cast<definitions::Quantity>(i)).key)] =
        number(one.truth.quantities[i]);
  return {{"begin", one.pitch.begin}, {"quiet_set", one.pitch.quiet},      {"end", one.pitch.end},
          {"caught", one.caught},     {"cue", one.heel_cue ? "heel" : ""}, {"events", events},
          {"quantities", quantities}};
}

Json plate_document(const PlateErrors& errors) {
  return {
      {"gain", list(errors.gain)},           {"twist_gain", errors.twist_gain},
      {"crosstalk", list(errors.crosstalk)}, {"centre_of_pressure", list(errors.pressure_point)},
      {"offset", list(errors.offset)},       {"drift_per_second", list(errors.drift)},
      {"force_noise", errors.force_noise},   {"moment_noise", errors.moment_noise}};
}

}  // namespace

Json truth_document(const ModelAthlete& athlete, const Performance& performance,
                    const Station& station, const std::vector<LostBlock>& lost,
                    std::uint64_t seed) {
  const StationTruth& truth = station.truth;
  Json document;
  document["seed"] = seed;
  document["duration"] = performance.duration;
  document["athlete"] = {{"id", athlete.id},
                         {"name", athlete.name},
                         {"throws", athlete.hand == session::Hand::right ? "right" : "left"},
                         {"mass", truth.mass},
                         {"height", truth.height},
                         {"heel", list(truth.foot.heel)},
                         {"toe", list(truth.foot.toe)},
                         {"cue_response", athlete.cue_response}};
  document["throws"] = Json::array();
  for (const Throw& one : performance.throws) document["throws"].push_back(throw_document(one));
  document["other_activities"] = Json::array();
  for (const Doing& doing : performance.doings)
    document["other_activities"].push_back(
        {{"what", name(doing.activity)}, {"begin", doing.begin}, {"end", doing.end}});
  Json& errors = document["station_errors"];
  for (std::size_t i = 0; i < truth.plates.size(); ++i)
    errors["plates"].push_back(plate_document(truth.plates[i]));
  for (std::size_t i = 0; i < truth.clocks.size(); ++i)
    errors["clocks"].push_back({{"device", station.stated.devices[i].name},
                                {"start", truth.clocks[i].start},
                                {"skew", truth.clocks[i].skew},
                                {"wander", truth.clocks[i].wander},
                                {"delay", truth.clocks[i].delay}});
  errors["temperature"] = truth.air.temperature;
  errors["pressure"] = truth.air.pressure;
  errors["relative_humidity"] = truth.air.relative_humidity;
  errors["drag_coefficient"] = truth.drag_coefficient;
  errors["radar_bias"] = truth.radar_bias;
  errors["flight_distance"] = truth.flight_distance;
  errors["sound_distance"] = truth.sound_distance;
  errors["release_point"] = list(truth.release_point);
  errors["target"] = list(truth.target);
  errors["lost_blocks"] = Json::array();
  for (const LostBlock& block : lost)
    errors["lost_blocks"].push_back(
        {{"device", station.stated.devices[static_cast<std::size_t>(block.device)].name},
         {"samples", block.samples},
         {"time", block.time}});
  return document;
}

}  // namespace moundwork::model
