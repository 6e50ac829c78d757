// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/shown.h"

namespace moundwork::relate {

void show_units(Pitches& pitches, const definitions::ChosenUnits& chosen) {
  const auto shown_of = [&](Quantity& quantity) {
    definitions::ShownUnit shown = definitions::shown_unit(quantity.key, quantity.unit, chosen);
    quantity.unit = shown.unit;
    return shown;
  };
  const definitions::ShownUnit ball = shown_of(pitches.ball_speed);
  for (auto& row : pitches.rows) {
    row.ball_speed = ball.of(row.ball_speed);
    if (!row.shared_u.empty()) row.shared_u[0] *= ball.factor;
  }
  for (std::size_t q = 0; q < pitches.quantities.size(); ++q) {
    const definitions::ShownUnit shown = shown_of(pitches.quantities[q]);
    for (auto& row : pitches.rows) {
      row.quantities[q] = shown.of(row.quantities[q]);
      if (!row.shared_u.empty()) row.shared_u[q + 1] *= shown.factor;
    }
  }
}

}  // namespace moundwork::relate
