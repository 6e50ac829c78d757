// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/summary/content.h"

namespace moundwork::summary_support {

/// An invented session of `throws` throws, 20 s apart: ball speed 36 m/s and 0.5 m/s more each,
/// braking impulse per mass along with it, and constants.
inline summary::Source made_source(int throws, const std::string& id = "s1",
                                   const std::string& started = "2026-05-04T08:30:00Z") {
  summary::Source source;
  source.session.id = id;
  source.session.started = started;
  source.session.athlete = {"A1",        "Ottilie Quernmoor", session::Hand::left,
                            {60.0, 0.1}, {1.70, 0.01},        "2012-03-01"};
  source.session.conditions = {{21.4, 0.5}, {100400.0, 50.0}, {0.45, 0.02}, "mound"};
  source.session.radar.emplace();
  source.session.foot_line.emplace();
  source.age = 14;
  auto& analysed = source.analysed;
  analysed.file = id + ".h5";
  analysed.id = id;
  analysed.started = started;
  analysed.athlete = source.session.athlete;
  analysed.results.made = "2026-05-05T09:00:00Z";
  for (int number = 1; number <= throws; ++number) {
    session::ResultThrow one;
    one.number = number;
    one.contact = session_time(20.0 * number);
    one.quantities = {
        {"ball_speed", {35.5 + 0.5 * number, 0.1}, "m/s"},
        {"heel_toe_at_drive_peak", {70.0, 1.0}, "%"},
        {"drive_impulse_per_mass", {1.5 + 0.01 * (number % 3), 0.02}, "m/s"},
        {"braking_impulse_per_mass", {0.8 + 0.05 * number + 0.01 * (number % 2), 0.01}, "m/s"},
        {"braking_timing", {-0.050, 0.001}, "s"}};
    analysed.results.throws.push_back(one);
  }
  source.counted = summary::counted_throws(analysed.results, {});
  return source;
}

/// Straight lines where a session has traces.
inline summary::Traces made_traces(int throws) {
  summary::Traces traces;
  auto& forces = traces.forces;
  constexpr Eigen::Index samples = 341;
  forces.throws = throws;
  forces.start = -0.5;
  forces.step = 0.0025;
  forces.back_x = {Eigen::ArrayXd::LinSpaced(samples, 0.5, 0.0),
                   Eigen::ArrayXd::Constant(samples, 0.02)};
  forces.lead_x = {Eigen::ArrayXd::LinSpaced(samples, 0.0, -1.0),
                   Eigen::ArrayXd::Constant(samples, 0.02)};
  forces.lead_z = {Eigen::ArrayXd::LinSpaced(samples, 0.0, 2.0),
                   Eigen::ArrayXd::Constant(samples, 0.02)};
  forces.drive_peak = summary::MeanEvent{-0.15, throws};
  forces.release = summary::MeanEvent{0.14, throws};
  summary::FootPath foot;
  foot.throws = throws;
  foot.load = {{30.0, 0.0}, {35.0, 0.005}};
  foot.drive = {{35.0, 0.005}, {70.0, 0.02}};
  foot.drive_peak = {70.0, 0.02};
  foot.each_peak.assign(static_cast<std::size_t>(throws), foot.drive_peak);
  foot.length = 0.26;
  foot.toe_right = false;
  traces.foot = foot;
  return traces;
}

inline session::Edit edit(double contact, const std::string& action, const std::string& why) {
  session::Edit one;
  one.throw_contact = contact;
  one.action = session::action_from(action);
  one.why = why;
  return one;
}

/// Every text of a summary.
inline std::string all_text(const summary::Summary& summary) {
  std::string text = summary.who + '\n' + summary.when + '\n' + summary.counted + '\n' +
                     summary.excluded + '\n' + summary.change_note + '\n' + summary.group_note +
                     '\n' + summary.uncertainty_note + '\n' + summary.no_foot + '\n' +
                     summary.no_against + '\n' + summary.no_doubts + '\n' + summary.made + '\n';
  for (const auto* list :
       {&summary.person, &summary.conditions, &summary.doubts, &summary.cautions})
    for (const auto& item : *list) text += item + '\n';
  for (const auto& number : summary.numbers) {
    text += number.name + ' ' + number.meaning + ' ' + number.place + '\n';
    if (number.change) text += number.change->verdict + '\n';
  }
  if (summary.against) text += summary.against->says + '\n';
  return text;
}

}  // namespace moundwork::summary_support
