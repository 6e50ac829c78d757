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

// How long before `bin` the foot has been on its plate without a break, in bins.
Eigen::Index stance_before(const Eigen::ArrayXf& vertical, Eigen::Index bin, float level) {
  Eigen::Index begin = std::min(bin, vertical.size() - 1);
  while (begin > 0 && !(vertical(begin) < level)) --begin;
  return bin - begin;
}

}  // namespace

std::vector<double> find_throws(const foot::LoadTrace& back, const foot::LoadTrace& lead,
                                double body_weight, const definitions::Settings& settings) {
  const auto in_newton = [&](double bw) { return static_cast<float>(bw * body_weight); };
  const float contact = in_newton(settings.contact_level);
  const Eigen::Index drive = bins(settings.drive_search);
  const Eigen::Index after = bins(settings.after_contact);
  const Eigen::Index clear = bins(settings.unloaded_before);
  const Eigen::Index size = std::min(back.size(), lead.size());

  std::vector<double> contacts;
  Eigen::Index next = clear;
  for (Eigen::Index bin = clear; bin < size; ++bin) {
    if (bin < next || !(lead.vertical(bin) >= contact)) continue;
    if (!(greatest(lead.vertical, bin - clear, bin) < contact)) continue;
    // A drive peak needs the back foot there; a gap of NaN fails every comparison below.
    const bool landed =
        greatest(lead.vertical, bin, bin + after) >= in_newton(settings.least_vertical) &&
        -least(lead.forward, bin, bin + after) >= in_newton(settings.least_braking);
    const bool driven =
        greatest(back.forward, bin - drive, bin) >= in_newton(settings.least_drive) &&
        greatest(back.vertical, bin - drive, bin) >= in_newton(settings.least_back_vertical);
    if (!landed || !driven) continue;
    // The back foot may just have left when the lead foot lands, so its stance is sought a little
    // earlier, at the drive.
    Eigen::Index peak = std::max<Eigen::Index>(0, bin - drive);
    for (Eigen::Index b = peak; b < bin; ++b)
      if (back.forward(b) > back.forward(peak) || std::isnan(back.forward(peak))) peak = b;
    const bool recording_starts = stance_before(back.vertical, peak, contact) >= peak;
    const bool stood =
        stance_before(back.vertical, peak, contact) >= bins(settings.least_back_stance);
    if (!stood && !recording_starts) continue;
    contacts.push_back(lead.time(bin));
    next = bin + bins(settings.between_throws);
  }
  return contacts;
}

}  // namespace moundwork::pitch
