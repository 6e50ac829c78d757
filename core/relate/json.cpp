// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "core/base/shown_number.h"

namespace moundwork::relate {
namespace {

using Json = nlohmann::ordered_json;

Json number(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }
Json whole(double value) {
  return std::isfinite(value) ? Json(static_cast<std::int64_t>(std::llround(value)))
                              : Json(nullptr);
}
Json text_or_null(const std::string& text) { return text.empty() ? Json(nullptr) : Json(text); }

Json of(const stats::Correlation& c) {
  return {{"r", number(c.r)},
          {"df", whole(c.df)},
          {"p", number(c.p)},
          {"low", number(c.low)},
          {"high", number(c.high)}};
}

Json of(const stats::Estimate& e) {
  return {{"value", number(e.value)}, {"u", number(e.u)},     {"df", whole(e.df)},
          {"p", number(e.p)},         {"low", number(e.low)}, {"high", number(e.high)}};
}

Json of(const stats::BootstrapInterval& interval) {
  if (!std::isfinite(interval.low)) return nullptr;
  return {{"low", number(interval.low)}, {"high", number(interval.high)}};
}

Json of(const stats::Attenuation& a) {
  if (!std::isfinite(a.reliability)) return nullptr;
  return {{"reliability", number(a.reliability)},
          {"plain_slope", of(a.plain)},
          {"corrected_slope", of(a.corrected)}};
}

Json of(const stats::WithinBetween& fit) {
  return {
      {"within_slope", of(fit.within)},           {"between_slope", of(fit.between)},
      {"sd_athlete", number(fit.model.sd_group)}, {"sd_residual", number(fit.model.sd_residual)},
      {"at_boundary", fit.model.at_boundary},     {"criterion", number(fit.model.criterion)}};
}

Json of(const StrataCount& strata) {
  return {{"n", strata.n}, {"by", strata.by}, {"left_out", strata.left_out}};
}

Json of(const Selected& selected) {
  if (!std::isfinite(selected.level)) return nullptr;
  return {{"level", number(selected.level)},           {"low", number(selected.correlation.low)},
          {"high", number(selected.correlation.high)}, {"slope_low", number(selected.slope.low)},
          {"slope_high", number(selected.slope.high)}, {"strongest", selected.strongest}};
}

Json of(const EqualSize& equal, double adjusted_p, const Selected& selected) {
  Json json = of(equal.correlation);
  json["given"] = equal.given;
  json["athletes"] = equal.athletes;
  json["adjusted_p"] = number(adjusted_p);
  json["slope"] = of(equal.slope);
  json["selected"] = of(selected);
  json["why_not"] = text_or_null(equal.why_not);
  return json;
}

Json of(const stats::Icc& icc) {
  return {{"value", number(icc.value)}, {"low", number(icc.low)}, {"high", number(icc.high)}};
}

Json of(const Relation& r, int athletes) {
  Json json;
  json["quantity"] = r.quantity.key;
  json["unit"] = text_or_null(r.quantity.unit);
  json["n"] = r.pitches;
  json["athletes"] = r.athletes;
  json["left_out"] = r.left_out;
  json["tied_values"] = r.tied_values;
  json["tested"] = r.tested;
  json["strata"] = of(r.strata);
  json["repeated_measures"] = of(r.repeated_measures);
  json["repeated_measures"]["resampled"] = of(r.resampled.within_r);
  json["repeated_measures_given_order"] =
      std::isfinite(r.given_order.r) ? of(r.given_order) : Json(nullptr);
  json["likeness_of_neighbours"] = number(r.likeness);
  json["selected"] = of(r.within_selected);
  json["between"] = of(r.between);
  json["between"]["resampled"] = of(r.resampled.between_r);
  json["between"]["adjusted_p"] = number(r.between_adjusted_p);
  json["between_equal_size"] = of(r.equal_size, r.equal_size_adjusted_p, r.between_selected);
  json["between_for_mass"] =
      std::isfinite(r.between_for_mass.r) ? of(r.between_for_mass) : Json(nullptr);
  json["pearson"] = of(r.pearson);
  json["pearson"]["pools_athletes"] = athletes > 1;
  json["spearman"] = of(r.spearman);
  json["spearman"]["pools_athletes"] = athletes > 1;
  if (r.mixed_model)
    json["mixed_model"] = of(*r.mixed_model);
  else
    json["mixed_model"] = nullptr;
  if (r.mixed_model_for_mass) json["mixed_model_for_mass"] = of(*r.mixed_model_for_mass);
  if (!r.no_mixed_model.empty()) json["no_mixed_model"] = r.no_mixed_model;
  json["slope"] = of(r.within_slope);
  json["slope"]["resampled"] = of(r.resampled.within_slope);
  json["slope"]["by_athlete"] = of(r.slope_by_athlete);
  json["slope"]["by_athlete"]["adjusted_p"] = number(r.slope_adjusted_p);
  json["attenuation"] = of(r.attenuation);
  json["attenuation_between"] = of(r.attenuation_between);
  json["smallest_detectable"] = {{"r", number(r.smallest_r)}, {"slope", number(r.smallest_slope)}};
  json["pitches_needed"] = whole(r.pitches_needed);
  json["neighbour_correlation"] = number(r.neighbour_correlation);
  json["adjusted_p"] = number(r.adjusted_p);
  json["verdict"] = {{"within", name_of(r.within_verdict)},
                     {"between", name_of(r.between_verdict)}};
  json["says"] = typed_minus(r.says);
  json["notes"] = r.notes;
  return json;
}

Json of(const std::optional<Grown>& grown) {
  if (!grown) return nullptr;
  return {{"from", number(grown->from)},
          {"to", number(grown->to)},
          {"unit", text_or_null(grown->unit)}};
}

Json of(const std::optional<Growth>& growth) {
  if (!growth) return nullptr;
  return {{"mass", of(growth->mass)},
          {"height", of(growth->height)},
          {"says", typed_minus(growth->says)}};
}

std::string_view name_of(LimitSource source) {
  switch (source) {
    case LimitSource::given:
      return "given";
    case LimitSource::retest:
      return "retest";
    case LimitSource::few_pitches:
      return "few pitches";
    case LimitSource::pitches:
      return "pitches";
    case LimitSource::none:
      return "none";
  }
  return "none";
}

}  // namespace

Json to_json(const Report& report, const Settings& settings) {
  Json json;
  json["ball_speed"] = {{"column", report.ball_speed.key},
                        {"unit", text_or_null(report.ball_speed.unit)},
                        {"u", number(report.ball_speed_u)}};
  json["rows"] = report.rows;
  json["rows_left_out"] = report.rows_left_out;
  json["athletes"] = report.athletes;
  json["strata"] = of(report.strata);
  json["tests"] = {{"within", report.tests_within}, {"between", report.tests_between}};
  json["settings"] = {{"level", settings.level},
                      {"false_discovery", settings.false_discovery},
                      {"worth", settings.worth},
                      {"power", settings.power},
                      {"resamples", settings.resample.resamples},
                      {"seed", settings.resample.seed}};
  json["relations"] = Json::array();
  for (const auto& relation : report.relations)
    json["relations"].push_back(of(relation, relation.athletes));
  json["trends"] = Json::array();
  for (const auto& trend : report.trends)
    json["trends"].push_back({{"quantity", trend.quantity.key},
                              {"n", trend.pitches},
                              {"sessions", trend.sessions},
                              {"per_pitch", of(trend.per_pitch)},
                              {"says", typed_minus(trend.says)}});
  json["notes"] = report.notes;
  return json;
}

Json to_json(const CueReport& report) {
  // Those of ball speed; each effect has its own.
  const CueEffect& speed = report.effects.front();
  Json json{
      {"cue", report.cue},
      {"tests", report.tests},
      {"drawn", report.drawn},
      {"in_runs", report.in_runs},
      {"runs",
       {{"with", speed.difference.marked_pieces}, {"without", speed.difference.other_pieces}}},
      {"neighbour_correlation", number(speed.neighbour_correlation)},
      {"reason", text_or_null(speed.reason)}};
  json["effects"] = Json::array();
  for (const auto& effect : report.effects) {
    const auto& d = effect.difference;
    json["effects"].push_back({{"quantity", effect.quantity.key},
                               {"unit", text_or_null(effect.quantity.unit)},
                               {"difference", number(d.effect)},
                               {"low", number(d.low)},
                               {"high", number(d.high)},
                               {"p", number(d.p)},
                               {"adjusted_p", number(effect.adjusted_p)},
                               {"with", d.marked},
                               {"without", d.others},
                               {"runs", {{"with", d.marked_pieces}, {"without", d.other_pieces}}},
                               {"blocks", d.strata},
                               {"left_out", d.left_out},
                               {"permutations", d.permutations},
                               {"exact", d.exact},
                               {"neighbour_correlation", number(effect.neighbour_correlation)},
                               {"reason", text_or_null(effect.reason)},
                               {"verdict", name_of(effect.verdict)},
                               {"says", typed_minus(effect.says)}});
  }
  json["notes"] = report.notes;
  json["carry_over"] = report.carry_over;
  return json;
}

Json to_json(const std::vector<Repeatability>& report) {
  Json json = Json::array();
  for (const auto& r : report) {
    Json one{{"quantity", r.quantity.key}, {"unit", text_or_null(r.quantity.unit)}};
    one["pitches"] = {{"athletes", r.athletes},
                      {"icc_1_1", of(r.pitches.single)},
                      {"mean_number", number(r.pitches.pitches)},
                      {"typical_error", number(r.pitches.typical_error)},
                      {"sem", number(r.pitch_sem)},
                      {"minimal_detectable_change", number(r.pitch_mdc)}};
    if (r.session_icc) {
      const auto& icc = *r.session_icc;
      one["sessions"] = {
          {"sessions", r.sessions},     {"athletes", r.retested},
          {"named", r.named},           {"icc_1_1", of(icc.one_one)},
          {"icc_2_1", of(icc.two_one)}, {"icc_3_1", of(icc.three_one)},
          {"icc_1_k", of(icc.one_k)},   {"icc_2_k", of(icc.two_k)},
          {"icc_3_k", of(icc.three_k)}, {"typical_error", number(r.session_typical_error)},
          {"df", whole(r.session_df)},  {"minimal_detectable_change", number(r.session_mdc)}};
      if (r.retest) {
        one["sessions"]["mean_change"] = number(r.retest->mean_change);
        one["sessions"]["sd_change"] = number(r.retest->sd_change);
        one["sessions"]["typical_error_percent"] = number(r.retest->typical_error_percent);
        one["sessions"]["sem"] = number(r.retest->standard_error);
        one["sessions"]["agreement"] = {{"low", number(r.retest->agreement_low)},
                                        {"high", number(r.retest->agreement_high)}};
      }
    } else {
      one["sessions"] = nullptr;
    }
    one["says"] = typed_minus(r.says);
    json.push_back(std::move(one));
  }
  return json;
}

Json to_json(const ChangeReport& report) {
  Json json;
  json["changes"] = Json::array();
  for (const auto& change : report.changes)
    json["changes"].push_back({{"athlete", change.athlete},
                               {"quantity", change.quantity.key},
                               {"unit", text_or_null(change.quantity.unit)},
                               {"pitch_type", text_or_null(change.pitch_type)},
                               {"from", change.from},
                               {"to", change.to},
                               {"pitches_from", change.pitches_from},
                               {"pitches_to", change.pitches_to},
                               {"mean_from", number(change.mean_from)},
                               {"mean_to", number(change.mean_to)},
                               {"difference", number(change.difference)},
                               {"limit", number(change.limit)},
                               {"limit_source", name_of(change.source)},
                               {"typical_error", number(change.typical_error)},
                               {"limit_of", text_or_null(std::string(change.limit_of))},
                               {"retested", change.retested},
                               {"looked_at", change.looked_at},
                               {"word", name_of(change.word)},
                               {"real", change.real},
                               {"growth", of(change.growth)},
                               {"says", typed_minus(change.says)}});
  json["compared"] = report.compared;
  json["notes"] = report.notes;
  return json;
}

}  // namespace moundwork::relate
