// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/input_moves.h"

#include <cmath>

namespace moundwork::pitch {
namespace {

// A horizontal force that reads wrong by `error` also leaves a wrong free moment: T = Mz - (p x F)z
// about the plate's centre.
template <class Error>
void shift_x(foot::FootForces& foot, const Error& error, double centre_y) {
  foot.free_moment += foot.cop_y.isNaN().select(0.0, (foot.cop_y - centre_y) * error);
  foot.raw_x += error;
  foot.x += error;
}
template <class Error>
void shift_y(foot::FootForces& foot, const Error& error, double centre_x) {
  foot.free_moment -= foot.cop_x.isNaN().select(0.0, (foot.cop_x - centre_x) * error);
  foot.y += error;
}
void shift_z(foot::FootForces& foot, double gain, double zero) {
  for (Eigen::ArrayXd* z : {&foot.z, &foot.contact_z, &foot.raw_z}) *z = *z * (1.0 + gain) + zero;
}

}  // namespace

void move_calibration(Propagation& propagation, const InputFoot& foot, const FootInputs& inputs) {
  const session::PlateAccuracy& accuracy = inputs.accuracy;
  const FootParts& own = foot.parts;
  const auto move = [&](Parts parts, const auto& mutate) {
    propagation.move(Source::calibration, parts,
                     [&](Trial& trial) { mutate(trial.data.*foot.forces); });
  };
  if (accuracy.gain > 0.0) {
    move(own.x | own.twist,
         [&](foot::FootForces& f) { shift_x(f, accuracy.gain * f.x, inputs.centre.y()); });
    move(own.y | own.twist,
         [&](foot::FootForces& f) { shift_y(f, accuracy.gain * f.y, inputs.centre.x()); });
    move(own.z, [&](foot::FootForces& f) { shift_z(f, accuracy.gain, 0.0); });
    move(own.twist, [&](foot::FootForces& f) { f.free_moment *= 1.0 + accuracy.gain; });
  }
  if (accuracy.crosstalk > 0.0) {
    move(own.x | own.twist,
         [&](foot::FootForces& f) { shift_x(f, accuracy.crosstalk * f.z, inputs.centre.y()); });
    move(own.y | own.twist,
         [&](foot::FootForces& f) { shift_y(f, accuracy.crosstalk * f.z, inputs.centre.x()); });
  }
  if (accuracy.cop > 0.0) {
    move(own.pressure | own.twist, [&](foot::FootForces& f) {
      f.cop_x += accuracy.cop;
      f.free_moment -= accuracy.cop * f.y;
    });
    move(own.pressure | own.twist, [&](foot::FootForces& f) {
      f.cop_y += accuracy.cop;
      f.free_moment += accuracy.cop * f.x;
    });
  }
}

void move_zero(Propagation& propagation, const InputFoot& foot, const FootInputs& inputs) {
  const FootParts& own = foot.parts;
  const auto move = [&](Parts parts, const auto& mutate) {
    propagation.move(Source::zero, parts, [&](Trial& trial) { mutate(trial.data.*foot.forces); });
  };
  const auto constant = [&](const foot::FootForces& f) {
    return Eigen::ArrayXd::Constant(f.size(), inputs.zero);
  };
  move(own.x | own.twist, [&](foot::FootForces& f) { shift_x(f, constant(f), inputs.centre.y()); });
  move(own.y | own.twist, [&](foot::FootForces& f) { shift_y(f, constant(f), inputs.centre.x()); });
  move(own.z, [&](foot::FootForces& f) { shift_z(f, 0.0, inputs.zero); });
}

// A person puts an event on a plate's trace, so it goes with that plate's clock, as does a release
// whose trigger is wired to that plate's device.
void move_clocks(Propagation& propagation, const InputUncertainty& inputs) {
  const auto shift_events = [](Trial& trial, definitions::Foot foot, double by) {
    for (std::size_t i = 0; i < event_count; ++i)
      if (definitions::entry(static_cast<Event>(i)).foot == foot) trial.moved[i] += by;
  };
  const auto shift_back = [&](Trial& t, double by) {
    t.data.back.start += by;
    shift_events(t, definitions::Foot::back, by);
  };
  const auto shift_lead = [&](Trial& t, double by) {
    t.data.lead.start += by;
    t.data.coarse_contact += by;
    shift_events(t, definitions::Foot::lead, by);
  };
  if (inputs.one_clock) {
    propagation.move(Source::clock, part::all, [&](Trial& t) {
      shift_back(t, inputs.back.clock);
      shift_lead(t, inputs.back.clock);
      t.data.release += inputs.release_by_back_clock * inputs.back.clock;
    });
    return;
  }
  constexpr Parts back_clock = part::back.all() | part::release;
  propagation.move(Source::clock, back_clock, [&](Trial& t) {
    shift_back(t, inputs.back.clock);
    t.data.release += inputs.release_by_back_clock * inputs.back.clock;
  });
  constexpr Parts lead_clock = part::lead.all() | part::release;
  propagation.move(Source::clock, lead_clock, [&](Trial& t) {
    shift_lead(t, inputs.lead.clock);
    t.data.release += inputs.release_by_lead_clock * inputs.lead.clock;
  });
}

void move_put_events(Propagation& propagation, const EventTimes& put, const EventTimes& u) {
  for (std::size_t i = 0; i < event_count; ++i)
    if (std::isfinite(put[i]))
      propagation.move(Source::moved, part::release, [&](Trial& t) { t.moved[i] += u[i]; });
}

}  // namespace moundwork::pitch
