// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/throw_finder.h"

#include <algorithm>
#include <cmath>

namespace moundwork::pitch {
namespace {

Eigen::Index bins(double duration) {
  return static_cast<Eigen::Index>(std::lround(duration / foot::trace_bin));
}

// Bins [first, last) of an array, cut to its ends.
auto stretch(const Eigen::ArrayXf& values, Eigen::Index first, Eigen::Index last) {
  const Eigen::Index from = std::clamp<Eigen::Index>(first, 0, values.size());
  const Eigen::Index to = std::clamp<Eigen::Index>(last, from, values.size());
  return values.segment(from, to - from);
}

float greatest(const Eigen::ArrayXf& values, Eigen::Index first, Eigen::Index last) {
  float most = -INFINITY;
  for (const float value : stretch(values, first, last))
    if (value > most) most = value;  // false for NaN
  return most;
}

float least(const Eigen::ArrayXf& values, Eigen::Index first, Eigen::Index last) {
  float less = INFINITY;
  for (const float value : stretch(values, first, last))
    if (value < less) less = value;
  return less;
}

// Whether a foot stood there all of [first, last); not where samples are missing or nothing was
// recorded yet.
bool stood_on(const Eigen::ArrayXf& vertical, Eigen::Index first, Eigen::Index last, float level) {
  if (first < 0) return false;
  for (const float value : stretch(vertical, first, last))
    if (!(value >= level)) return false;
  return true;
}

// How long before `bin` the foot has been on its plate without a break, in bins.
Eigen::Index stance_before(const Eigen::ArrayXf& vertical, Eigen::Index bin, float level) {
  Eigen::Index begin = std::min(bin, vertical.size() - 1);
  while (begin > 0 && !(vertical(begin) < level)) --begin;
  return bin - begin;
}

// A foot's traces and what is asked of them, N.
class Levels {
 public:
  Levels(const foot::LoadTrace& back, double body_weight, const definitions::Settings& settings)
      : back_(back), settings_(settings), body_weight_(body_weight) {}

  [[nodiscard]] float in_newton(double bw) const { return static_cast<float>(bw * body_weight_); }
  [[nodiscard]] float contact() const { return in_newton(settings_.contact_level); }

  /// A gap of NaN fails every comparison here.
  [[nodiscard]] bool landed(const foot::LoadTrace& on, Eigen::Index bin) const {
    const Eigen::Index after = bins(settings_.after_contact);
    return greatest(on.vertical, bin, bin + after) >= in_newton(settings_.least_vertical) &&
           -least(on.forward, bin, bin + after) >= in_newton(settings_.least_braking);
  }

  /// A drive peak needs the back foot there, and that it has stood there.
  [[nodiscard]] bool driven(Eigen::Index bin) const {
    const Eigen::Index drive = bins(settings_.drive_search);
    if (!(greatest(back_.forward, bin - drive, bin) >= in_newton(settings_.least_drive) &&
          greatest(back_.vertical, bin - drive, bin) >= in_newton(settings_.least_back_vertical)))
      return false;
    // The back foot may just have left when the lead foot lands, so its stance is sought a little
    // earlier, at the drive.
    Eigen::Index peak = std::max<Eigen::Index>(0, bin - drive);
    for (Eigen::Index b = peak; b < bin; ++b)
      if (back_.forward(b) > back_.forward(peak) || std::isnan(back_.forward(peak))) peak = b;
    const Eigen::Index stood = stance_before(back_.vertical, peak, contact());
    const bool recording_starts = stood >= peak;
    return recording_starts || stood >= bins(settings_.least_back_stance);
  }

 private:
  const foot::LoadTrace& back_;
  const definitions::Settings& settings_;
  double body_weight_;
};

}  // namespace

std::vector<double> find_throws(const foot::LoadTrace& back, const foot::LoadTrace& lead,
                                double body_weight, const definitions::Settings& settings) {
  const Levels levels(back, body_weight, settings);
  const float contact = levels.contact();
  const Eigen::Index clear = bins(settings.unloaded_before);
  const Eigen::Index size = std::min(back.size(), lead.size());

  std::vector<double> contacts;
  Eigen::Index next = clear;
  for (Eigen::Index bin = clear; bin < size; ++bin) {
    if (bin < next || !(lead.vertical(bin) >= contact)) continue;
    if (!(greatest(lead.vertical, bin - clear, bin) < contact)) continue;
    if (!levels.landed(lead, bin) || !levels.driven(bin)) continue;
    contacts.push_back(lead.time(bin));
    next = bin + bins(settings.between_throws);
  }
  return contacts;
}

std::vector<SharedLanding> find_shared_landings(const foot::LoadTrace& back,
                                                const foot::LoadTrace& lead, double body_weight,
                                                const definitions::Settings& settings) {
  const Eigen::Index clear = bins(settings.unloaded_before);
  const Eigen::Index after = bins(settings.after_contact);
  const Eigen::Index size = std::min(back.size(), lead.size());
  // Whatever plates they stand on, together the feet do what they do in every throw. Before the
  // landing all of it is the back foot's.
  foot::LoadTrace both;
  both.start = back.start;
  both.vertical = back.vertical.head(size) + lead.vertical.head(size);
  both.forward = back.forward.head(size) + lead.forward.head(size);
  const Levels levels(both, body_weight, settings);
  // A landing raises the force by so much within the time that a lead plate is otherwise clear.
  const float rise = levels.in_newton(0.5);
  // A landing's own rise is over in half of this; a back foot stands much longer.
  const Eigen::Index stood = bins(0.2);
  // Braked by a back foot that only follows: never half of the least that a landing brakes.
  const float braked = levels.in_newton(0.5 * settings.least_braking);

  std::vector<SharedLanding> found;
  Eigen::Index next = clear;
  for (Eigen::Index bin = clear; bin < size; ++bin) {
    if (bin < next || !(both.vertical(bin) >= both.vertical(bin - clear) + rise)) continue;
    if (!levels.landed(both, bin) || !levels.driven(bin)) continue;
    const auto take = [&](const foot::LoadTrace& plate, session::PlateRole on) {
      found.push_back({plate.time(bin), static_cast<double>(plate.vertical(bin - clear)), on});
      next = bin + bins(settings.between_throws);
    };
    if (stood_on(lead.vertical, bin - clear - stood, bin - clear, levels.contact()))
      take(lead, session::PlateRole::lead);
    else if (back.vertical(bin - clear) >= levels.contact() &&
             -least(back.forward, bin, bin + after) >= braked)
      take(back, session::PlateRole::back);
  }
  return found;
}

}  // namespace moundwork::pitch
