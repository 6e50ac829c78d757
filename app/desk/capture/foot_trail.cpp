// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/foot_trail.h"

#include <algorithm>
#include <cmath>

#include "app/desk/plot/foot_shape.h"

namespace moundwork::desk {
namespace {

constexpr double usual_foot = 0.27;  // m, for a picture where nothing is known
constexpr double lead_in = 1.2;      // s before contact where the loaded leg was not found
constexpr double present = 0.05;     // s that count as this moment

QPointF point_of(const drivers::LiveBin& bin) {
  return {static_cast<double>(bin.cop[0]), static_cast<double>(bin.cop[1])};
}

bool pressed(const drivers::LiveBin& bin) {
  return std::isfinite(bin.cop[0]) && std::isfinite(bin.cop[1]);
}

}  // namespace

FootScene empty_scene(const session::Session& session) {
  FootScene scene;
  scene.plates = back_plate_corners(session);
  scene.foot = session.foot_line;
  scene.foot_is_a_guess = !scene.foot || scene.foot->source == session::FootLineSource::foot_length;
  if (!scene.foot) scene.foot = customary_foot(session.athlete.throws, usual_foot);
  return scene;
}

std::vector<PressurePoint> pressure_path(const drivers::LiveTrace& foot, double from, double to) {
  std::vector<PressurePoint> path;
  for (std::size_t k = 0; k < foot.bins.size(); ++k)
    if (const double time = foot.time(k); time >= from && time <= to)
      path.push_back({time, point_of(foot.bins[k])});
  return path;
}

std::optional<QPointF> pressure_now(const drivers::LiveTrace& foot) {
  const auto recent = static_cast<std::size_t>(std::ceil(present / foot.bin));
  for (std::size_t back = 1; back <= std::min(recent, foot.bins.size()); ++back)
    if (const drivers::LiveBin& bin = foot.bins[foot.bins.size() - back]; pressed(bin))
      return point_of(bin);
  return std::nullopt;
}

ThrowTrail trail_of(const pitch::AnalysedThrow& thrown, const drivers::LiveFeet& feet) {
  ThrowTrail trail;
  trail.contact = thrown.contact;
  const drivers::LiveTrace* back = feet.find(session::PlateRole::back);
  if (back == nullptr) return trail;
  double from = definitions::at(thrown.events, definitions::Event::back_leg_loaded);
  if (!std::isfinite(from)) from = thrown.contact - lead_in;
  double to = definitions::at(thrown.events, definitions::Event::back_foot_off);
  if (!std::isfinite(to)) to = thrown.contact;
  trail.path = pressure_path(*back, from, to);
  const double peak = definitions::at(thrown.events, definitions::Event::drive_peak);
  const auto at_peak = std::find_if(trail.path.begin(), trail.path.end(),
                                    [&](const PressurePoint& p) { return p.time >= peak; });
  if (at_peak != trail.path.end() && std::isfinite(at_peak->at.x()))
    trail.marks.push_back({at_peak->at, QStringLiteral("drive peak")});
  return trail;
}

}  // namespace moundwork::desk
