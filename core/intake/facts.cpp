// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/intake/facts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/base/lab_file.h"
#include "core/base/one_line.h"
#include "core/base/time_zone.h"
#include "core/base/wall_time.h"
#include "core/intake/limits.h"
#include "core/plate/geometry.h"
#include "core/session/fact.h"
#include "core/session/start.h"

namespace moundwork::intake {
namespace {

Result<void> check(const session::Conditions& conditions) {
  const Measured& temperature = conditions.temperature;
  if (temperature.known() && !limits::temperature.holds(temperature.value))
    return fail("air temperature", fmt::format("{:.1f} C is no weather", temperature.value),
                "check the number and its unit");
  const Measured& pressure = conditions.pressure;
  if (pressure.known() && !limits::pressure.holds(pressure.value))
    return fail("air pressure", fmt::format("{:.0f} hPa is no weather", pressure.value / 100.0),
                "check the number and its unit");
  const Measured& humidity = conditions.relative_humidity;
  if (humidity.known() && !limits::relative_humidity.holds(humidity.value))
    return fail("humidity", fmt::format("{:.0f} % is no weather", 100.0 * humidity.value),
                "give it between 0% and 100%");
  return {};
}

Result<void> check_born(const std::string& born, const std::string& recorded) {
  if (born.empty()) return {};
  const auto day = date_of(born);
  if (!is_date(born))
    return fail("date of birth", fmt::format("'{}' is not a date", one_line(born)),
                "write it as 2003-05-14");
  const auto then = date_of(recorded);
  if (then && *day > *then)
    return fail("date of birth", fmt::format("{} lies ahead", born), "check the year");
  return {};
}

Result<void> check(const session::Athlete& athlete) {
  const double mass = athlete.mass.value;
  if (!limits::mass.holds(mass))
    return fail("body mass", fmt::format("{:.1f} kg is not a pitcher's", mass),
                "check the number and its unit");
  if (athlete.height.known() && !limits::height.holds(athlete.height.value))
    return fail("height", fmt::format("{:.2f} m is not a pitcher's", athlete.height.value),
                "check the number and its unit");
  return {};
}

}  // namespace

Result<void> check_facts(const session::Session& session, const std::string& day) {
  if (auto checked = check(session.athlete); !checked) return checked;
  if (auto checked = check_born(session.athlete.born, day); !checked) return checked;
  return check(session.conditions);
}

Result<void> apply(const Facts& facts, session::Session& session) {
  session::Athlete& athlete = session.athlete;
  const auto take = [](const std::string& told, std::string& kept) {
    if (!told.empty()) kept = told;
  };
  take(facts.athlete_id, athlete.id);
  take(facts.athlete_name, athlete.name);
  take(facts.born, athlete.born);
  if (!facts.throws) return fail("throwing hand", "is not given", Remedy::throwing_hand);
  athlete.throws = *facts.throws;
  if (facts.mass.known()) athlete.mass = facts.mass;
  if (facts.height.known()) athlete.height = facts.height;
  if (!athlete.mass.known()) return fail("body mass", "is not given", Remedy::body_mass);
  session.conditions = facts.conditions;
  if (auto checked = check_facts(session, session::local_start(session)); !checked) return checked;
  if (facts.foot_length && !limits::foot_length.holds(*facts.foot_length))
    return fail("foot length", fmt::format("{:.2f} m is not a pitcher's", *facts.foot_length),
                "check the number and its unit");
  if (facts.ball_speed) session.known_ball_speed = facts.ball_speed;
  if (facts.release) session.known_releases = {*facts.release};
  if (facts.stance) session.foot_line = facts.stance;
  if (facts.heel_and_toe)
    session.foot_line = session::FootLine{facts.heel_and_toe->first, facts.heel_and_toe->second,
                                          0.005, session::FootLineSource::measured_points};
  if (session.foot_line) {
    const double length = (session.foot_line->toe - session.foot_line->heel).head<2>().norm();
    if (!limits::foot_length.holds(length))
      return fail("foot line", fmt::format("heel and toe lie {:.2f} m apart", length),
                  "check the points or marker labels");
  } else {
    session.foot_line = foot_line_from_length(session, facts.foot_length);
  }
  return {};
}

Result<void> check_releases(const session::Session& session, double duration) {
  for (const session::KnownRelease& release : session.known_releases) {
    const double time = seconds(release.time);
    if (!(time >= 0.0 && time <= duration))
      return fail(
          "release",
          fmt::format("{:.3f} s lies outside the recording, which lasts {:.3f} s", time, duration),
          "give it from the recording's start");
  }
  return {};
}

std::optional<session::FootLine> foot_line_from_length(const session::Session& session,
                                                       std::optional<double> foot_length) {
  if (!foot_length && session.athlete.height.known())
    foot_length = session::foot_over_height * session.athlete.height.value;
  std::vector<plate::PlateFrame> frames;
  for (const session::Plate& plate : session.plates) {
    if (plate.role != session::PlateRole::back) continue;
    const auto frame = plate::plate_frame(plate.description);
    if (!frame) return std::nullopt;
    frames.push_back(*frame);
  }
  if (!foot_length || frames.empty()) return std::nullopt;
  const double toe_side = session.athlete.throws == session::Hand::right ? -1.0 : 1.0;
  const Eigen::Vector3d half(0.0, 0.5 * toe_side * *foot_length, 0.0);
  // The sole's middle stands half a foot's breadth ahead of the rubber, near its middle; where no
  // plate is there, the recording's origin is another and the first plate's middle is the best
  // guess.
  Eigen::Vector3d middle = frames.front().centre;
  for (const plate::PlateFrame& frame : frames) {
    const Eigen::Vector3d before_rubber(0.5 * session::foot_breadth_over_length * *foot_length, 0.0,
                                        frame.centre.z());
    const Eigen::Vector3d on_plate = frame.rotation.transpose() * (before_rubber - frame.centre);
    if (std::abs(on_plate.x()) > frame.half_size.x() ||
        std::abs(on_plate.y()) > frame.half_size.y())
      continue;
    middle = before_rubber;
    break;
  }
  // Where along the rubber a pitcher stands differs by a foot's breadth or so.
  constexpr double u = 0.05;
  return session::FootLine{middle - half, middle + half, u, session::FootLineSource::foot_length};
}

Result<std::string> zone_of(const Facts& facts, const std::filesystem::path& target) {
  if (facts.zone.empty()) return zone_for(target);
  if (!is_zone(facts.zone))
    return fail("time zone", fmt::format("'{}' is not known here", one_line(facts.zone)),
                "write it like America/Los_Angeles");
  return facts.zone;
}

}  // namespace moundwork::intake
