// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QPolygonF>

#include "core/session/session.h"

namespace moundwork::desk {

/// Outline of a back foot's sole in lab x and y (m), closed, laid about its heel-to-toe line: a
/// picture to read the pressure by, not a measurement.
[[nodiscard]] QPolygonF sole_outline(const session::FootLine& line);

/// Heel-to-toe position of a lab point on the line, percent: 0 heel, 100 toe (docs/definitions.md).
[[nodiscard]] double along_foot(const session::FootLine& line, const QPointF& point);

/// Where a foot of this length (m) lies by custom: along the rubber, its inner side toward home,
/// middle in front of the rubber's middle. For a picture before anybody has stood there.
[[nodiscard]] session::FootLine customary_foot(session::Hand hand, double length);

}  // namespace moundwork::desk
