// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/foot/zero.h"

#include <algorithm>
#include <cmath>

namespace moundwork::foot {
namespace {

struct Steady {
  Eigen::Index bin;
  float mean;
};

// Pieces of zero_stretch length, none overlapping, whose bins keep within zero_range.
std::vector<Steady> steady_pieces(const LoadTrace& trace, Eigen::Index length,
                                  const definitions::Settings& settings) {
  std::vector<Steady> pieces;
  const Eigen::Index hop = std::max<Eigen::Index>(1, length / 5);
  for (Eigen::Index bin = 0; bin + length <= trace.size();) {
    const auto piece = trace.vertical.segment(bin, length);
    // A sum that is not finite shows a gap, which comparisons alone would let pass.
    const float mean = piece.mean();
    const bool steady =
        std::isfinite(mean) && looks_empty(piece.maxCoeff() - piece.minCoeff(), mean, settings);
    if (steady) pieces.push_back({bin, mean});
    bin += steady ? length : hop;
  }
  return pieces;
}

}  // namespace

bool looks_empty(double range, double mean, const definitions::Settings& settings) {
  return range <= settings.zero_range && std::abs(mean) <= settings.zero_limit;
}

bool continues_zero(double last, double mean, const definitions::Settings& settings) {
  return std::abs(mean - last) <= settings.zero_step;
}

std::vector<UnloadedStretch> unloaded_stretches(const LoadTrace& trace,
                                                const definitions::Settings& settings) {
  const auto length = static_cast<Eigen::Index>(std::lround(settings.zero_stretch / trace_bin));
  const std::vector<Steady> pieces = steady_pieces(trace, length, settings);
  std::vector<UnloadedStretch> stretches;
  if (pieces.empty()) return stretches;
  // The start of the chain: a foot resting lightly can only add, so the lower quarter of what is
  // steady is the plate alone.
  std::vector<float> means;
  means.reserve(pieces.size());
  for (const Steady& piece : pieces) means.push_back(piece.mean);
  const auto quarter = means.begin() + static_cast<std::ptrdiff_t>(means.size() / 4);
  std::nth_element(means.begin(), quarter, means.end());
  double zero = *quarter;
  for (const Steady& piece : pieces) {
    if (!continues_zero(zero, piece.mean, settings)) continue;
    zero = piece.mean;
    const double begin = trace.time(piece.bin) - 0.5 * trace_bin;
    stretches.push_back({begin, begin + static_cast<double>(length) * trace_bin, piece.mean});
  }
  return stretches;
}

Eigen::ArrayXf tared_vertical(const LoadTrace& trace,
                              const std::vector<UnloadedStretch>& stretches) {
  Eigen::ArrayXf tared = trace.vertical;
  if (stretches.empty()) return tared;
  Eigen::Index bin = 0;
  for (std::size_t i = 0; i < stretches.size(); ++i) {
    const bool last = i + 1 == stretches.size();
    const double until = last ? 0.0 : stretches[i + 1].begin;
    for (; bin < tared.size() && (last || trace.time(bin) < until); ++bin)
      tared(bin) -= static_cast<float>(stretches[i].vertical);
  }
  return tared;
}

std::optional<UnloadedStretch> nearest_stretch(const std::vector<UnloadedStretch>& stretches,
                                               double from, double to) {
  const auto distance = [&](const UnloadedStretch& s) {
    return std::max({s.begin - to, from - s.end, 0.0});
  };
  // A foot comes and goes slowly enough to look steady for a moment, so a stretch between two
  // others is trusted before one at the edge of a load.
  constexpr double touching = 0.05;
  const auto inside = [&](std::size_t i) {
    return i > 0 && i + 1 < stretches.size() &&
           stretches[i].begin - stretches[i - 1].end < touching &&
           stretches[i + 1].begin - stretches[i].end < touching;
  };
  if (stretches.empty()) return std::nullopt;
  // They are in order, so the nearest on either side of the moment are met first going outwards.
  const auto middle = static_cast<std::size_t>(
      std::lower_bound(stretches.begin(), stretches.end(), from,
                       [](const UnloadedStretch& s, double time) { return s.end < time; }) -
      stretches.begin());
  const auto nearest_where = [&](const auto& wanted) -> std::optional<UnloadedStretch> {
    std::size_t after = middle;
    while (after < stretches.size() && !wanted(after)) ++after;
    std::size_t before = middle;
    while (before > 0 && !wanted(before - 1)) --before;
    if (before == 0 && after == stretches.size()) return std::nullopt;
    if (before == 0) return stretches[after];
    const UnloadedStretch& earlier = stretches[before - 1];
    if (after == stretches.size() || distance(earlier) <= distance(stretches[after]))
      return earlier;
    return stretches[after];
  };
  if (const auto found = nearest_where(inside)) return found;
  return nearest_where([](std::size_t) { return true; });
}

}  // namespace moundwork::foot
