// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/definitions/settings.h"

#include <nlohmann/json.hpp>
#include <stdexcept>
#include <string>

namespace moundwork::definitions {
namespace {

template <class AnySettings, class Visit>
void each(AnySettings& settings, Visit visit) {
  visit("low_pass", settings.low_pass);
  visit("contact_low_pass", settings.contact_low_pass);
  visit("sway_low_pass", settings.sway_low_pass);
  visit("back_leg_loaded_level", settings.back_leg_loaded_level);
  visit("back_leg_loaded_hold", settings.back_leg_loaded_hold);
  visit("drive_start_level", settings.drive_start_level);
  visit("contact_level", settings.contact_level);
  visit("contact_hold", settings.contact_hold);
  visit("foot_off_level", settings.foot_off_level);
  visit("after_contact", settings.after_contact);
  visit("rate_fit", settings.rate_fit);
  visit("moved_event_u", settings.moved_event_u);
  visit("least_cop_force", settings.least_cop_force);
  visit("least_turning_force", settings.least_turning_force);
  visit("heel_side_limit", settings.heel_side_limit);
  visit("edge_margin", settings.edge_margin);
  visit("quiet_length", settings.quiet_length);
  visit("quiet_range", settings.quiet_range);
  visit("quiet_greatest", settings.quiet_greatest);
  visit("quiet_least", settings.quiet_least);
  visit("least_drive", settings.least_drive);
  visit("least_braking", settings.least_braking);
  visit("least_vertical", settings.least_vertical);
  visit("least_back_vertical", settings.least_back_vertical);
  visit("drive_search", settings.drive_search);
  visit("least_back_stance", settings.least_back_stance);
  visit("unloaded_before", settings.unloaded_before);
  visit("between_throws", settings.between_throws);
  visit("heavy_stand", settings.heavy_stand);
  visit("heavy_stand_length", settings.heavy_stand_length);
  visit("heavy_stand_range", settings.heavy_stand_range);
  visit("window_before", settings.window_before);
  visit("window_after", settings.window_after);
  visit("zero_stretch", settings.zero_stretch);
  visit("zero_range", settings.zero_range);
  visit("zero_limit", settings.zero_limit);
  visit("zero_step", settings.zero_step);
  visit("zero_drift_flag", settings.zero_drift_flag);
  visit("zero_walk", settings.zero_walk);
  visit("zero_unseen", settings.zero_unseen);
  visit("longest_bridge", settings.longest_bridge);
  visit("least_ball_speed", settings.least_ball_speed);
  visit("greatest_ball_speed", settings.greatest_ball_speed);
  visit("usual_contact_to_release", settings.usual_contact_to_release);
  visit("usual_contact_to_release_u", settings.usual_contact_to_release_u);
  visit("assumed_gain_u", settings.assumed_gain_u);
  visit("assumed_crosstalk_u", settings.assumed_crosstalk_u);
  visit("assumed_zero_u", settings.assumed_zero_u);
  visit("assumed_cop_u", settings.assumed_cop_u);
}

}  // namespace

void to_json(nlohmann::json& json, const Settings& settings) {
  json = nlohmann::json::object();
  each(settings, [&](const char* name, double value) { json[name] = value; });
}

void from_json(const nlohmann::json& json, Settings& settings) {
  std::size_t known = 0;
  each(settings, [&](const char* name, double& value) {
    if (!json.contains(name)) return;
    value = json.at(name).get<double>();
    ++known;
  });
  if (known == json.size()) return;
  Settings all;
  const nlohmann::json names = all;
  for (const auto& [name, value] : json.items())
    if (!names.contains(name)) throw std::invalid_argument("there is no setting '" + name + "'");
}

}  // namespace moundwork::definitions
