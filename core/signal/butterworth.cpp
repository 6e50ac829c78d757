// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/signal/butterworth.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace moundwork::signal {
namespace {

// Signals side by side, so that the recursion, in which each sample waits for the one before, works
// on several at once. A column is one time.
template <int signals>
using Table = Eigen::Array<double, signals, Eigen::Dynamic>;
template <int signals>
using Sample = Eigen::Array<double, signals, 1>;

// Transposed direct form II: y = b0 x + z1, z1' = b1 x - a1 y + z2, z2' = b2 x - a2 y. With y put
// into the delays they wait for one product and one sum only.
template <int signals>
void run(const Biquad& section, const Sample<signals>& start_z1, const Sample<signals>& start_z2,
         Table<signals>& table, bool forward) {
  // Copies stay in registers, since no sample written can be one of them.
  const Biquad s = section;
  const double c1 = s.b1 - s.a1 * s.b0;
  const double c2 = s.b2 - s.a2 * s.b0;
  Sample<signals> z1 = start_z1;
  Sample<signals> z2 = start_z2;
  const Eigen::Index step = forward ? signals : -signals;
  double* at = table.data() + (forward ? 0 : table.size() - signals);
  for (Eigen::Index k = 0; k < table.cols(); ++k, at += step) {
    Eigen::Map<Sample<signals>> x(at);
    const Sample<signals> in = x;
    x = s.b0 * in + z1;
    const Sample<signals> next = (c1 * in + z2) - s.a1 * z1;
    z2 = c2 * in - s.a2 * z1;
    z1 = next;
  }
}

// From the delays of a section that has been fed the first value for ever.
template <int signals>
void run_from_steady(const std::vector<Biquad>& sections, Table<signals>& x, bool forward) {
  Sample<signals> level = x.col(forward ? 0 : x.cols() - 1);
  for (const Biquad& s : sections) {
    const double gain = (s.b0 + s.b1 + s.b2) / (1.0 + s.a1 + s.a2);
    const double z2 = s.b2 - s.a2 * gain;
    const double z1 = s.b1 - s.a1 * gain + z2;
    run<signals>(s, z1 * level, z2 * level, x, forward);
    level *= gain;
  }
}

template <int signals>
void zero_phase(const std::vector<Biquad>& sections, const Eigen::Ref<const Eigen::ArrayXXd>& x,
                Eigen::Ref<Eigen::ArrayXXd> y) {
  const Eigen::Index n = x.rows();
  // SciPy's default: three times the number of taps of the whole transfer function.
  const Eigen::Index taps = 2 * static_cast<Eigen::Index>(sections.size()) + 1;
  const Eigen::Index pad = std::min(3 * taps, n - 1);
  Table<signals> padded(signals, n + 2 * pad);
  for (int c = 0; c < signals; ++c) padded.row(c).segment(pad, n) = x.col(c).transpose();
  const Sample<signals> first = padded.col(pad);
  const Sample<signals> last = padded.col(pad + n - 1);
  for (Eigen::Index k = 0; k < pad; ++k) {
    padded.col(k) = 2.0 * first - padded.col(2 * pad - k);
    padded.col(n + pad + k) = 2.0 * last - padded.col(n + pad - 2 - k);
  }
  run_from_steady<signals>(sections, padded, true);
  run_from_steady<signals>(sections, padded, false);
  for (int c = 0; c < signals; ++c) y.col(c) = padded.row(c).segment(pad, n).transpose();
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
  Table<1> y = x.transpose();
  for (const Biquad& s : sections) run<1>(s, Sample<1>::Zero(), Sample<1>::Zero(), y, true);
  return y.transpose();
}

Eigen::ArrayXd zero_phase(const std::vector<Biquad>& sections,
                          const Eigen::Ref<const Eigen::ArrayXd>& x) {
  return zero_phase_columns(sections, x);
}

Eigen::ArrayXXd zero_phase_columns(const std::vector<Biquad>& sections,
                                   const Eigen::Ref<const Eigen::ArrayXXd>& x) {
  if (x.rows() < 2) return x;
  Eigen::ArrayXXd y(x.rows(), x.cols());
  // A wrench's six keep the arithmetic busy while each waits for its sample before; the delays of
  // more would not fit a processor's registers.
  for (Eigen::Index c = 0; c < x.cols();) {
    const Eigen::Index left = x.cols() - c;
    const int width = left >= 6 ? 6 : left >= 2 ? 2 : 1;
    const auto part = x.middleCols(c, width);
    auto filtered = y.middleCols(c, width);
    if (width == 6)
      zero_phase<6>(sections, part, filtered);
    else if (width == 2)
      zero_phase<2>(sections, part, filtered);
    else
      zero_phase<1>(sections, part, filtered);
    c += width;
  }
  return y;
}

}  // namespace moundwork::signal
