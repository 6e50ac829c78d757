// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/noise_moves.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <set>

#include "core/pitch/noise_bank.h"
#include "core/signal/butterworth.h"

namespace moundwork::pitch {
namespace {

// Twelve draws know a standard deviation to a fifth, and noise is seldom the largest part. What
// they do not know widens it as the t distribution of so many degrees of freedom is wider than the
// normal: variance n / (n - 2).
constexpr int noise_draws = 12;
constexpr double noise_share = 1.0 / (noise_draws - 2);

// Integral of w^2 (H - H^2)^2 over that of w^2 H^2 for H = 1 / (1 + w^4), the response of the two
// passes to white noise: what filtering again changes of the variance of its slope.
constexpr double second_filter_slope = 0.21875;

// The peaks whose time lets noise into quantities.
std::set<Event> timed_peaks() {
  std::set<Event> peaks;
  for (std::size_t i = 0; i < quantity_count; ++i)
    if (const auto peak = definitions::entry(static_cast<Quantity>(i)).at_peak) peaks.insert(*peak);
  return peaks;
}

// Noise on a foot's samples, in place of what `foot` held. The horizontal forces are summed from
// the quiet set on, all else is read from `loaded_from` (s) on.
void set_noisy(foot::FootForces& foot, const foot::FootForces& base, double loaded_from,
               const FootInputs& inputs, const NoiseBank& bank, Eigen::Index stream) {
  const Eigen::Array<double, 1, 6>& noise = inputs.noise;
  // A recording longer than the bank is noisier only where no event lies.
  const auto draw = [&](Eigen::Index k) { return bank.draw(stream + k, base.size()); };
  const auto x = draw(0);
  const auto y = draw(1);
  const auto z = draw(2);
  const auto about_y = draw(3);
  const auto about_x = draw(4);
  const auto twist = draw(5);
  const Eigen::Index used = x.white.size();
  const auto first =
      std::clamp<Eigen::Index>(static_cast<Eigen::Index>(base.index(loaded_from)), 0, used - 1);
  const Eigen::Index n = used - first;
  const auto late = [&](auto& series) { return series.segment(first, n); };
  foot.x.head(used) = base.x.head(used) + noise(0) * x.smooth;
  late(foot.raw_x) = late(base.raw_x) + noise(0) * late(x.white);
  late(foot.y) = late(base.y) + noise(1) * late(y.smooth);
  foot.z.head(used) = base.z.head(used) + noise(2) * z.smooth;
  late(foot.contact_z) = late(base.contact_z) + noise(2) * late(z.light);
  late(foot.raw_z) = late(base.raw_z) + noise(2) * late(z.white);
  // About the plate's centre: x of the centre of pressure comes from the moment about y over the
  // vertical force, and the reverse; the free moment is what the horizontal forces leave there.
  for (Eigen::Index i = first; i < used; ++i) {
    if (std::isnan(base.cop_x(i))) {
      foot.free_moment(i) = base.free_moment(i) + noise(5) * twist.smooth(i);
      continue;
    }
    const double arm_x = base.cop_x(i) - inputs.centre.x();
    const double arm_y = base.cop_y(i) - inputs.centre.y();
    const double per_force = 1.0 / foot.z(i);
    const double down = noise(2) * z.smooth(i);
    foot.cop_x(i) = base.cop_x(i) + (noise(4) * about_y.smooth(i) - arm_x * down) * per_force;
    foot.cop_y(i) = base.cop_y(i) + (noise(3) * about_x.smooth(i) - arm_y * down) * per_force;
    foot.free_moment(i) = base.free_moment(i) + noise(5) * twist.smooth(i) +
                          arm_y * noise(0) * x.smooth(i) - arm_x * noise(1) * y.smooth(i);
  }
  foot.noise = base.noise * std::numbers::sqrt2;  // as much again, independent
}

// The drive is slow and its top flat, so that the noise already in the trace shapes the top: noise
// added to it says too little where a bump stands out by chance and too much where bumps are level.
// A quarter of the cut-off keeps a drive of half a second and leaves half of the noise.
constexpr double calmer_drive = 0.25;

ThrowData with_calm_drive(const ThrowData& data, const definitions::Settings& settings) {
  ThrowData calm = data;
  const auto sections = signal::low_pass(
      2, signal::design_cutoff(calmer_drive * settings.low_pass, 2, 2), 1.0 / data.back.step);
  if (sections) calm.back.x = signal::zero_phase(*sections, data.back.x);
  return calm;
}

}  // namespace

// The noise already in a trace bends its peaks and crossings, so that noise added to it meets them
// doubly noisy. Filtered a second time, a trace keeps a fifth of the noise in its curvature. The
// edge of a contact is a steep line and would be blunted.
void move_noise(Propagation& propagation, const ThrowData& twice, const InputUncertainty& inputs,
                const definitions::Settings& settings) {
  ThrowData calmer = with_calm_drive(twice, settings);
  calmer.back.contact_z = propagation.data().back.contact_z;
  calmer.lead.contact_z = propagation.data().lead.contact_z;
  Propagation calm(std::move(calmer), propagation.moved(), settings);
  const ThrowData& base = calm.data();
  const EventTimes& events = calm.events();
  // With room for the sway's filter to run in, and for a contact to come earlier.
  constexpr double room = 0.35;
  double loaded = at(events, Event::lead_contact) - settings.drive_search;
  for (const double time : events) loaded = std::min(loaded, std::isnan(time) ? loaded : time);
  const double landing = std::min(base.coarse_contact, at(events, Event::lead_contact)) - room;
  const NoiseBank& bank = NoiseBank::for_step(twice.back.step, settings);
  constexpr Eigen::Index streams_per_foot = 6;
  for (Eigen::Index draw = 0; draw < noise_draws; ++draw)
    calm.draw(
        Source::noise,
        [&](ThrowData& t) {
          set_noisy(t.back, base.back, loaded - room, inputs.back, bank,
                    2 * draw * streams_per_foot);
          set_noisy(t.lead, base.lead, landing, inputs.lead, bank,
                    (2 * draw + 1) * streams_per_foot);
        },
        noise_share);
  propagation.take(Source::noise, calm);
}

// What a low-pass takes from a smooth signal it takes once more when it is applied again (Tukey's
// twicing), and a second time it meets little noise, which a wider filter would let in. The path
// of the centre of pressure filters for itself: of what lies well below the cut-off, twice takes
// as much as once with a cut-off lower by 2^(1/4), since the two passes have the response
// 1 / (1 + (f / f_0)^4). A low-pass errs to one side, so all of the change is taken.
void move_filter(Propagation& propagation, const ThrowData& twice,
                 const definitions::Settings& settings) {
  definitions::Settings again = settings;
  again.sway_low_pass /= std::pow(2.0, 0.25);
  propagation.add(Source::filter, twice, again);
  // The second filter moves the noise too, which is then counted twice. Where a peak's time is all
  // that noise changes, it goes with the noise's slope, and of the slope's variance the second
  // filter changes a share that the filter alone fixes. It is left to the filter's part: taken from
  // that, it would have to be held at 0 as often as the one change seen is less.
  for (const Event peak : timed_peaks())
    propagation.lessen_at(peak, Source::noise, 1.0 - second_filter_slope);
  // From bump to bump of a flat top it is noise that goes with the second filter: the drive peak's
  // place is asked of the calmer drive.
  Propagation calm(with_calm_drive(propagation.data(), settings), propagation.moved(), settings);
  calm.add(Source::filter, with_calm_drive(twice, settings), settings);
  propagation.take(Source::filter, calm, Event::drive_peak);
  propagation.take(Source::filter, calm, Quantity::drive_peak_to_contact);
}

}  // namespace moundwork::pitch
