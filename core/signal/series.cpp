// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/signal/series.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/base/unknown.h"

namespace moundwork::signal {
namespace {

Eigen::Index first_sample(double index) {
  return std::max<Eigen::Index>(0, static_cast<Eigen::Index>(std::ceil(index)));
}
Eigen::Index last_sample(const Eigen::Ref<const Eigen::ArrayXd>& values, double index) {
  return std::min<Eigen::Index>(values.size() - 1, static_cast<Eigen::Index>(std::floor(index)));
}

// By pieces between samples: `mean` gives a piece's mean from its two ends, `whole` the sum of the
// whole pieces' means from one sample to another. Outside the series its ends hold.
template <class Mean, class Whole>
double integrate(const Eigen::Ref<const Eigen::ArrayXd>& values, double first, double last,
                 Mean mean, Whole whole) {
  if (!(first < last)) return 0.0;
  const double inner_first = std::ceil(first);
  const double inner_last = std::floor(last);
  if (inner_first > inner_last)
    return (last - first) * mean(value_at(values, first), value_at(values, last));
  double sum = 0.0;
  if (inner_first > first)
    sum += (inner_first - first) * mean(value_at(values, first), value_at(values, inner_first));
  if (last > inner_last)
    sum += (last - inner_last) * mean(value_at(values, inner_last), value_at(values, last));
  const double end = static_cast<double>(values.size() - 1);
  const double from = std::clamp(inner_first, 0.0, end);
  const double to = std::clamp(inner_last, 0.0, end);
  const auto left = static_cast<Eigen::Index>(from);
  const auto right = static_cast<Eigen::Index>(to);
  sum += whole(left, right);
  if (from != inner_first) sum += (from - inner_first) * mean(values(left), values(left));
  if (to != inner_last) sum += (inner_last - to) * mean(values(right), values(right));
  return sum;
}

double crossing(const Eigen::Ref<const Eigen::ArrayXd>& values, Eigen::Index i, double level) {
  return static_cast<double>(i) + (level - values(i)) / (values(i + 1) - values(i));
}

}  // namespace

double value_at(const Eigen::Ref<const Eigen::ArrayXd>& values, double index) {
  const double held = std::clamp(index, 0.0, static_cast<double>(values.size() - 1));
  const auto left = std::min<Eigen::Index>(static_cast<Eigen::Index>(held), values.size() - 2);
  if (values.size() < 2) return values.size() == 1 ? values(0) : unknown;
  const double share = held - static_cast<double>(left);
  if (share == 0.0) return values(left);  // keeps a NaN neighbour out
  return values(left) + share * (values(left + 1) - values(left));
}

Extreme greatest(const Eigen::Ref<const Eigen::ArrayXd>& values, double first, double last) {
  if (!(first <= last)) return {unknown, unknown};
  const Eigen::Index from = first_sample(first);
  const Eigen::Index to = last_sample(values, last);
  if (from > to) return {unknown, unknown};
  Eigen::Index at = 0;
  const double most = values.segment(from, to - from + 1).maxCoeff(&at);
  at += from;
  if (at == 0 || at + 1 >= values.size()) return {static_cast<double>(at), most};
  const double before = values(at - 1);
  const double after = values(at + 1);
  const double bend = before - 2.0 * most + after;
  // At an end of the range the greatest sample need not be a peak.
  if (!(bend < 0.0) || before > most || after > most) return {static_cast<double>(at), most};
  const double shift = 0.5 * (before - after) / bend;
  return {static_cast<double>(at) + shift, most - 0.25 * (before - after) * shift};
}

double peak_value(const Eigen::Ref<const Eigen::ArrayXd>& values, double index) {
  if (std::isnan(index)) return unknown;
  const Extreme peak = greatest(values, std::floor(index) - 1.0, std::ceil(index) + 1.0);
  // A place given in seconds and back keeps this much of a sample after hours.
  constexpr double same_place = 1e-4;
  return std::abs(peak.index - index) < same_place ? peak.value : value_at(values, index);
}

double first_rise(const Eigen::Ref<const Eigen::ArrayXd>& values, double level, double first,
                  double last, double hold) {
  if (!(first <= last)) return unknown;
  const Eigen::Index to = std::min(last_sample(values, last), values.size() - 2);
  const auto held = static_cast<Eigen::Index>(std::lround(hold));
  for (Eigen::Index i = first_sample(first); i <= to; ++i) {
    if (!(values(i) < level && values(i + 1) >= level)) continue;
    const Eigen::Index end = std::min(i + 1 + held, values.size());
    bool stays = end - (i + 1) >= held;
    for (Eigen::Index k = i + 1; stays && k < end; ++k) stays = values(k) >= level;
    if (stays) return crossing(values, i, level);
  }
  return unknown;
}

double last_rise(const Eigen::Ref<const Eigen::ArrayXd>& values, double level, double first,
                 double last) {
  if (!(first <= last)) return unknown;
  for (Eigen::Index i = std::min(last_sample(values, last), values.size() - 2);
       i >= first_sample(first); --i)
    if (values(i) < level && values(i + 1) >= level) return crossing(values, i, level);
  return unknown;
}

double last_fall(const Eigen::Ref<const Eigen::ArrayXd>& values, double level, double first,
                 double last) {
  if (!(first <= last)) return unknown;
  for (Eigen::Index i = std::min(last_sample(values, last), values.size() - 2);
       i >= first_sample(first); --i)
    if (values(i) >= level && values(i + 1) < level) return crossing(values, i, level);
  return unknown;
}

double integral(const Eigen::Ref<const Eigen::ArrayXd>& values, double first, double last) {
  const auto mean = [](double a, double b) { return 0.5 * (a + b); };
  return integrate(values, first, last, mean, [&](Eigen::Index from, Eigen::Index to) {
    if (from == to) return 0.0;
    return values.segment(from, to - from + 1).sum() - mean(values(from), values(to));
  });
}

double positive_integral(const Eigen::Ref<const Eigen::ArrayXd>& values, double first,
                         double last) {
  const auto mean = [](double a, double b) {
    if (a >= 0.0 && b >= 0.0) return 0.5 * (a + b);
    if (a <= 0.0 && b <= 0.0) return 0.0;
    const double top = std::max(a, b);
    return 0.5 * top * top / std::abs(b - a);  // a triangle up to the crossing
  };
  return integrate(values, first, last, mean, [&](Eigen::Index from, Eigen::Index to) {
    double sum = 0.0;
    for (Eigen::Index i = from; i < to; ++i) sum += mean(values(i), values(i + 1));
    return sum;
  });
}

double greatest_slope(const Eigen::Ref<const Eigen::ArrayXd>& values, double first, double last,
                      double length) {
  // n samples fit a line like one over n steps: their arms' square sum is n (n^2 - 1) / 12.
  const auto samples = static_cast<Eigen::Index>(std::lround(length));
  if (!(first <= last)) return unknown;
  const Eigen::Index from = first_sample(first);
  const Eigen::Index to = last_sample(values, last);
  if (samples < 2 || to - from + 1 < samples) return unknown;
  const Eigen::ArrayXd arm = Eigen::ArrayXd::LinSpaced(
      samples, -0.5 * static_cast<double>(samples - 1), 0.5 * static_cast<double>(samples - 1));
  const Eigen::ArrayXd weights = arm / arm.square().sum();
  double most = -std::numeric_limits<double>::infinity();
  for (Eigen::Index i = from; i + samples <= to + 1; ++i)
    most = std::max(most, (values.segment(i, samples) * weights).sum());
  return most;
}

}  // namespace moundwork::signal
