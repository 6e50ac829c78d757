// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/signal/butterworth.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace moundwork::signal {
namespace {

// Transposed direct form II; z1, z2 are the section's delays.
struct State {
  double z1 = 0.0, z2 = 0.0;
};

void run(const Biquad& s, State z, double* x, Eigen::Index count, Eigen::Index step) {
  for (Eigen::Index i = 0; i < count; ++i, x += step) {
    const double in = *x;
    const double out = s.b0 * in + z.z1;
    z.z1 = s.b1 * in - s.a1 * out + z.z2;
    z.z2 = s.b2 * in - s.a2 * out;
    *x = out;
  }
}

// Delays of a section that has been fed a constant 1 for ever.
State steady(const Biquad& s) {
  const double gain = (s.b0 + s.b1 + s.b2) / (1.0 + s.a1 + s.a2);
  State z;
  z.z2 = s.b2 - s.a2 * gain;
  z.z1 = s.b1 - s.a1 * gain + z.z2;
  return z;
}

void run_from_steady(const std::vector<Biquad>& sections, double* x, Eigen::Index count,
                     Eigen::Index step) {
  double level = count > 0 ? *x : 0.0;
  for (const Biquad& s : sections) {
    State z = steady(s);
    z.z1 *= level;
    z.z2 *= level;
    level *= (s.b0 + s.b1 + s.b2) / (1.0 + s.a1 + s.a2);
    run(s, z, x, count, step);
  }
}

}  // namespace

Result<std::vector<Biquad>> low_pass(int order, double cutoff, double rate) {
  if (order < 2 || order > 12 || order % 2 != 0)
    return fail("low-pass", fmt::format("order {} is not an even number from 2 to 12", order));
  if (!(cutoff > 0.0) || !(cutoff < rate / 2.0))
    return fail("low-pass",
                fmt::format("cut-off {} Hz does not lie between 0 and half the sampling rate of {} "
                            "Hz",
                            cutoff, rate),
                "choose a lower cut-off");
  const double K = std::tan(std::numbers::pi * cutoff / rate);
  std::vector<Biquad> sections;
  // Conjugate pole pairs from the outermost (least resonant) inward.
  for (int pair = order / 2 - 1; pair >= 0; --pair) {
    const double angle = std::numbers::pi * (2.0 * pair + 1.0) / (2.0 * order);
    const double damping = 2.0 * std::sin(angle);
    const double D = 1.0 + damping * K + K * K;
    Biquad s;
    s.b0 = s.b2 = K * K / D;
    s.b1 = 2.0 * s.b0;
    s.a1 = 2.0 * (K * K - 1.0) / D;
    s.a2 = (1.0 - damping * K + K * K) / D;
    sections.push_back(s);
  }
  return sections;
}

double design_cutoff(double cutoff, int order, int passes) {
  return cutoff / std::pow(std::pow(2.0, 1.0 / passes) - 1.0, 1.0 / (2.0 * order));
}

Eigen::ArrayXd filter(const std::vector<Biquad>& sections,
                      const Eigen::Ref<const Eigen::ArrayXd>& x) {
  Eigen::ArrayXd y = x;
  for (const Biquad& s : sections) run(s, State{}, y.data(), y.size(), 1);
  return y;
}

Eigen::ArrayXd zero_phase(const std::vector<Biquad>& sections,
                          const Eigen::Ref<const Eigen::ArrayXd>& x) {
  const Eigen::Index n = x.size();
  if (n < 2) return x;
  // SciPy's default: three times the number of taps of the whole transfer function.
  const Eigen::Index taps = 2 * static_cast<Eigen::Index>(sections.size()) + 1;
  const Eigen::Index pad = std::min(3 * taps, n - 1);
  Eigen::ArrayXd y(n + 2 * pad);
  for (Eigen::Index k = 0; k < pad; ++k) {
    y(k) = 2.0 * x(0) - x(pad - k);
    y(n + pad + k) = 2.0 * x(n - 1) - x(n - 2 - k);
  }
  y.segment(pad, n) = x;
  run_from_steady(sections, y.data(), y.size(), 1);
  run_from_steady(sections, y.data() + y.size() - 1, y.size(), -1);
  return y.segment(pad, n);
}

}  // namespace moundwork::signal
