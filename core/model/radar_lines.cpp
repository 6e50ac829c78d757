// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/radar_lines.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/base/units.h"

namespace moundwork::model {
namespace {

struct Printed {
  std::string text;
  double speed;  // m/s, of the text
};

// As the device prints: rounded to its step.
Printed print(double speed, int direction, RadarPrint form) {
  const char* side = direction < 0 ? "B" : "R";
  const bool mph = form == RadarPrint::tenth_mph || form == RadarPrint::whole_mph;
  const bool tenths = form == RadarPrint::tenth_mph || form == RadarPrint::tenth_kmh;
  const double unit = mph ? mps_per_mph : mps_per_kmh;
  const double step = tenths ? 0.1 : 1.0;
  const double shown = std::round(speed / unit / step) * step;
  return {fmt::format("{} {:.{}f} {}", side, shown, tenths ? 1 : 0, mph ? "mph" : "km/h"),
          shown * unit};
}

}  // namespace

std::vector<session::RadarReading> radar_lines(const Performance& performance,
                                               const Station& station,
                                               const StationSettings& settings, Random& random) {
  std::vector<session::RadarReading> lines;
  if (!station.stated.radar) return lines;
  const session::Radar& radar = *station.stated.radar;
  const StationTruth& truth = station.truth;
  const auto& on = settings.errors;
  const double k = drag_per_metre(truth.air, truth.drag_coefficient);
  const Eigen::Vector3d flight = (truth.target - truth.release_point).normalized();
  const auto add = [&](double time, double speed, int direction) {
    const Printed printed =
        on.radar ? print(speed, direction, settings.print)
                 : Printed{fmt::format("{} {:.9f} m/s", direction < 0 ? "B" : "R", speed), speed};
    lines.push_back({session_time(time), printed.speed, direction, printed.text});
  };

  for (const Throw& one : performance.throws) {
    // Each throw draws the same number of values, whatever becomes of it, so that switching one
    // source off leaves the others as they were.
    const double where = random.normal(0.0, radar.detection_distance.u);
    const double late = random.normal(0.0, radar.delay.u);
    const bool missing = random.chance(0.03);
    const bool doubled = random.chance(0.05);
    const bool returned = random.chance(0.15);
    const bool stray = random.chance(0.08);
    const double returned_at = one.caught + random.uniform(4.0, 7.0);
    const double stray_at = one.pitch.touch + random.uniform(3.0, 7.0);
    const double returned_speed = random.uniform(14.0, 22.0);
    const double stray_speed = random.uniform(9.0, 14.0);

    const double distance = radar.detection_distance.value + (on.radar ? where : 0.0);
    const Eigen::Vector3d ball = truth.release_point + distance * flight;
    const double cosine = flight.dot((radar.position - ball).normalized());
    const double seen = speed_at(one.ball_speed, k, distance) * cosine + truth.radar_bias;
    const double arrival = one.pitch.release + time_to(one.ball_speed, k, distance) +
                           radar.delay.value + (on.radar ? late : 0.0);
    if (!(on.loss && missing)) add(arrival, seen, 1);
    if (!on.loss) continue;
    if (doubled && !missing) add(arrival + 0.035, seen, 1);
    if (returned && returned_at < performance.duration) add(returned_at, returned_speed, -1);
    // A passing car, as fast as a slow ball.
    if (stray && stray_at < performance.duration) add(stray_at, stray_speed, 1);
  }
  std::stable_sort(lines.begin(), lines.end(),
                   [](const auto& a, const auto& b) { return a.arrival < b.arrival; });
  return lines;
}

}  // namespace moundwork::model
