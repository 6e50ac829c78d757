// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <QVector>
#include <array>
#include <vector>

#include "core/base/result.h"
#include "core/pitch/plates_of_throw.h"
#include "core/pitch/throw_data.h"
#include "core/session/session.h"

namespace moundwork::desk {

/// Times in s from where throws are laid over each other; NaN breaks a line.
struct TraceLine {
  QVector<double> time;
  QVector<double> value;
};

/// What of a throw is drawn, one strip under the other.
enum class Strip { toward_home, vertical, heel_to_toe };
inline constexpr int strip_count = 3;

struct ThrowTraces {
  TraceLine back_x, lead_x;  ///< toward home, in the unit asked for
  TraceLine back_z, lead_z;  ///< vertical
  TraceLine heel_toe;        ///< back foot's centre of pressure, percent of the foot
};

/// One of several plates' part in its foot's forces.
struct PlateTraces {
  session::PlateRole foot = session::PlateRole::back;
  int place = 0;   ///< among that foot's plates, from 0
  QString name;    ///< "second lead plate"
  TraceLine x, z;  ///< toward home and vertical, filtered as the foot's
};

/// s about lead contact that are drawn: from the set to the follow-through.
inline constexpr double drawn_before = 3.0, drawn_after = 1.0;

/// `origin` is the session time that becomes 0; `per_newton` the unit of force.
[[nodiscard]] ThrowTraces traces_of(const pitch::ThrowData& data, double origin, double per_newton);

/// Of each plate of every foot that has several, over what traces_of() draws.
[[nodiscard]] Result<std::vector<PlateTraces>> plate_traces_of(const pitch::PlatesOfThrow& plates,
                                                               const pitch::ThrowData& data,
                                                               double origin, double per_newton);
/// Whether that is any.
[[nodiscard]] bool has_single_plates(const pitch::PlatesOfThrow& plates);

/// Heel-to-toe position in percent of a point of the lab; NaN without a foot line.
[[nodiscard]] double heel_toe_percent(const pitch::ThrowData& data, double x, double y);

}  // namespace moundwork::desk
