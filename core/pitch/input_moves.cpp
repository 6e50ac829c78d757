// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/input_moves.h"

#include <cmath>
#include <set>

namespace moundwork::pitch {
namespace {

using Series = Eigen::Ref<const Eigen::ArrayXd>;

// One plate of a foot as a throw has it: what is its own of the foot's forces.
struct Own {
  Series x, y, z, cop_x, cop_y;
};

Own own_of(const foot::FootForces& foot, const PlateInputs& plate) {
  if (!plate.share) return {foot.x, foot.y, foot.z, foot.cop_x, foot.cop_y};
  const foot::PlateShare& share = *plate.share;
  const auto first = static_cast<Eigen::Index>(std::lround((foot.start - share.start) / foot.step));
  const auto part = [&](const Eigen::ArrayXd& all) { return all.segment(first, foot.size()); };
  return {part(share.x), part(share.y), part(share.z), part(share.cop_x), part(share.cop_y)};
}

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
template <class Error>
void shift_z(foot::FootForces& foot, const Error& error) {
  for (Eigen::ArrayXd* z : {&foot.z, &foot.contact_z, &foot.raw_z}) *z += error;
}
void scale_z(foot::FootForces& foot, double gain) {
  for (Eigen::ArrayXd* z : {&foot.z, &foot.contact_z, &foot.raw_z}) *z *= 1.0 + gain;
}

// The centre of pressure moved by `x`, `y` (m; NaN: not) under the forces `force_x`, `force_y`.
template <class X, class Y>
void shift_pressure(foot::FootForces& foot, const X& x, const Y& y) {
  const Eigen::ArrayXd by_x = x, by_y = y;
  foot.cop_x += by_x;
  foot.cop_y += by_y;
  foot.free_moment += by_y.isNaN().select(0.0, by_y * foot.x);
  foot.free_moment -= by_x.isNaN().select(0.0, by_x * foot.y);
}

// More vertical force on one of several plates, at a place of its own, draws the foot's centre of
// pressure there.
template <class Error>
void load_more(foot::FootForces& foot, const Error& error, const Series& at_x, const Series& at_y) {
  const Eigen::ArrayXd more = error;
  const Eigen::ArrayXd share = more / (foot.z + more);
  // Where the plate is hardly loaded it has no place, and next to nothing to move.
  const Eigen::ArrayXd x = at_x.isNaN().select(0.0, share * (at_x - foot.cop_x));
  const Eigen::ArrayXd y = at_y.isNaN().select(0.0, share * (at_y - foot.cop_y));
  shift_pressure(foot, x, y);
  shift_z(foot, more);
}

// Of a series over time: what one sample later has more, at each sample.
Eigen::ArrayXd slope(const Series& values) {
  const Eigen::Index n = values.size();
  Eigen::ArrayXd steps = Eigen::ArrayXd::Zero(n);
  if (n > 2) steps.segment(1, n - 2) = 0.5 * (values.tail(n - 2) - values.head(n - 2));
  return steps;
}

void move_calibration(Propagation& propagation, const InputFoot& foot, const PlateInputs& plate) {
  const session::PlateAccuracy& accuracy = plate.accuracy;
  const FootParts& own = foot.parts;
  const auto move = [&](Parts parts, const auto& mutate) {
    propagation.move(Source::calibration, parts, [&](Trial& trial) {
      foot::FootForces& forces = trial.data.*foot.forces;
      mutate(forces, own_of(propagation.data().*foot.forces, plate));
    });
  };
  using Forces = foot::FootForces;
  if (accuracy.gain > 0.0) {
    move(own.x | own.twist,
         [&](Forces& f, const Own& o) { shift_x(f, accuracy.gain * o.x, plate.centre.y()); });
    move(own.y | own.twist,
         [&](Forces& f, const Own& o) { shift_y(f, accuracy.gain * o.y, plate.centre.x()); });
    if (plate.share) {
      move(own.z | own.pressure | own.twist,
           [&](Forces& f, const Own& o) { load_more(f, accuracy.gain * o.z, o.cop_x, o.cop_y); });
      move(own.twist, [&](Forces& f, const Own& o) {
        f.free_moment += f.cop_x.isNaN().select(0.0, accuracy.gain * f.free_moment * o.z / f.z);
      });
    } else {
      move(own.z, [&](Forces& f, const Own&) { scale_z(f, accuracy.gain); });
      move(own.twist, [&](Forces& f, const Own&) { f.free_moment *= 1.0 + accuracy.gain; });
    }
  }
  if (accuracy.crosstalk > 0.0) {
    move(own.x | own.twist,
         [&](Forces& f, const Own& o) { shift_x(f, accuracy.crosstalk * o.z, plate.centre.y()); });
    move(own.y | own.twist,
         [&](Forces& f, const Own& o) { shift_y(f, accuracy.crosstalk * o.z, plate.centre.x()); });
  }
  if (accuracy.cop > 0.0) {
    const auto by = [&](const Forces& f, const Own& o) -> Eigen::ArrayXd {
      if (!plate.share) return Eigen::ArrayXd::Constant(f.size(), accuracy.cop);
      return f.cop_x.isNaN().select(0.0, accuracy.cop * o.z / f.z);
    };
    const Eigen::ArrayXd none = Eigen::ArrayXd::Zero((propagation.data().*foot.forces).size());
    move(own.pressure | own.twist,
         [&](Forces& f, const Own& o) { shift_pressure(f, by(f, o), none); });
    move(own.pressure | own.twist,
         [&](Forces& f, const Own& o) { shift_pressure(f, none, by(f, o)); });
  }
}

void move_zero(Propagation& propagation, const InputFoot& foot, const PlateInputs& plate) {
  const FootParts& own = foot.parts;
  const Eigen::Index size = (propagation.data().*foot.forces).size();
  const Eigen::ArrayXd error = Eigen::ArrayXd::Constant(size, plate.zero);
  const auto move = [&](Parts parts, const auto& mutate) {
    propagation.move(Source::zero, parts, [&](Trial& trial) { mutate(trial.data.*foot.forces); });
  };
  move(own.x | own.twist, [&](foot::FootForces& f) { shift_x(f, error, plate.centre.y()); });
  move(own.y | own.twist, [&](foot::FootForces& f) { shift_y(f, error, plate.centre.x()); });
  if (!plate.share) {
    move(own.z, [&](foot::FootForces& f) { shift_z(f, error); });
    return;
  }
  // A zero acts in the middle of its plate, wherever the foot stands.
  const Eigen::ArrayXd x = Eigen::ArrayXd::Constant(size, plate.centre.x());
  const Eigen::ArrayXd y = Eigen::ArrayXd::Constant(size, plate.centre.y());
  move(own.z | own.pressure | own.twist, [&](foot::FootForces& f) { load_more(f, error, x, y); });
}

bool on_own_clock(const FootInputs& foot, const PlateInputs& plate) {
  return plate.share && plate.device != foot.plates.front().device;
}

// One of several plates read late by `by` s.
void shift_in_time(foot::FootForces& forces, const foot::FootForces& base, const PlateInputs& plate,
                   double by) {
  const Own own = own_of(base, plate);
  const double samples = -by / forces.step;
  shift_x(forces, samples * slope(own.x), plate.centre.y());
  shift_y(forces, samples * slope(own.y), plate.centre.x());
  load_more(forces, samples * slope(own.z), own.cop_x, own.cop_y);
}

}  // namespace

void move_calibration(Propagation& propagation, const InputFoot& foot, const FootInputs& inputs) {
  for (const PlateInputs& plate : inputs.plates) move_calibration(propagation, foot, plate);
}

void move_zero(Propagation& propagation, const InputFoot& foot, const FootInputs& inputs) {
  for (const PlateInputs& plate : inputs.plates) move_zero(propagation, foot, plate);
}

void move_clocks(Propagation& propagation, const InputUncertainty& inputs) {
  const auto shift_events = [](Trial& trial, definitions::Foot foot, double by) {
    for (std::size_t i = 0; i < event_count; ++i)
      if (definitions::entry(static_cast<Event>(i)).foot == foot) trial.moved[i] += by;
  };
  // Plates on other devices stay where they are.
  const auto shift_first = [&](Trial& t, const InputFoot& foot, const FootInputs& of, double by) {
    foot::FootForces& forces = t.data.*foot.forces;
    for (const PlateInputs& plate : of.plates)
      if (on_own_clock(of, plate))
        shift_in_time(forces, propagation.data().*foot.forces, plate, -by);
    forces.start += by;
  };
  const auto shift_back = [&](Trial& t, double by) {
    shift_first(t, back_foot, inputs.back, by);
    shift_events(t, definitions::Foot::back, by);
  };
  const auto shift_lead = [&](Trial& t, double by) {
    shift_first(t, lead_foot, inputs.lead, by);
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

void move_own_clocks(Propagation& propagation, const InputFoot& foot, const FootInputs& inputs) {
  std::set<int> devices;
  for (const PlateInputs& plate : inputs.plates)
    if (on_own_clock(inputs, plate)) devices.insert(plate.device);
  for (const int device : devices)
    propagation.move(Source::clock, foot.parts.all(), [&](Trial& trial) {
      for (const PlateInputs& plate : inputs.plates)
        if (plate.device == device)
          shift_in_time(trial.data.*foot.forces, propagation.data().*foot.forces, plate,
                        plate.clock);
    });
}

void move_put_events(Propagation& propagation, const EventTimes& put, const EventTimes& u) {
  for (std::size_t i = 0; i < event_count; ++i)
    if (std::isfinite(put[i]))
      propagation.move(Source::moved, part::release, [&](Trial& t) { t.moved[i] += u[i]; });
}

}  // namespace moundwork::pitch
