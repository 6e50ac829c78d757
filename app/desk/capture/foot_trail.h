// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <vector>

#include "app/desk/plot/foot_picture.h"
#include "core/pitch/analysed_throw.h"
#include "core/session/session.h"
#include "drivers/recorder/live_feet.h"

/// What the foot picture shows while recording.
namespace moundwork::desk {

/// Plates and foot of a recording, without any pressure.
[[nodiscard]] FootScene empty_scene(const session::Session& session);

/// Pressure under the back foot between two session times (s); NaN points where it was lifted.
[[nodiscard]] std::vector<PressurePoint> pressure_path(const drivers::LiveTrace& foot, double from,
                                                       double to);
/// Where it is at this moment; nothing while the foot's plates are hardly loaded.
[[nodiscard]] std::optional<QPointF> pressure_now(const drivers::LiveTrace& foot);

/// One throw's way from the loaded leg to the foot's leaving, kept when the live view has long
/// moved on.
struct ThrowTrail {
  double contact = 0.0;  ///< which throw
  std::vector<PressurePoint> path;
  std::vector<FootMark> marks;
};
[[nodiscard]] ThrowTrail trail_of(const pitch::AnalysedThrow& thrown,
                                  const drivers::LiveFeet& feet);
/// How far back the feet must reach for it, s.
inline constexpr double trail_span = 12.0;

}  // namespace moundwork::desk
