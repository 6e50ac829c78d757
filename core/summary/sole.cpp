// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/sole.h"

#include <array>

namespace moundwork::summary {
namespace {

/// Half widths of a sole as shares of its length, on the inner and on the outer side (drawn by
/// eye).
struct Breadth {
  double along, inner, outer;
};
constexpr std::array<Breadth, 11> breadths{{{0.00, 0.015, 0.015},
                                            {0.03, 0.075, 0.075},
                                            {0.10, 0.112, 0.115},
                                            {0.20, 0.118, 0.127},
                                            {0.35, 0.100, 0.135},
                                            {0.50, 0.098, 0.148},
                                            {0.65, 0.142, 0.167},
                                            {0.77, 0.172, 0.166},
                                            {0.88, 0.160, 0.132},
                                            {0.96, 0.105, 0.070},
                                            {1.00, 0.030, 0.015}}};

/// Shares of the sole's length at which the line's ends lie. Where the weight rests on heel and
/// toes is inside the sole (from memory: heel bone's middle near 0.14, between the balls and the
/// toes' tips near 0.84); measured ends are the sole's own.
struct Ends {
  double heel, toe;
};
Ends ends_of(session::FootLineSource source) {
  return source == session::FootLineSource::stances ? Ends{0.14, 0.84} : Ends{0.0, 1.0};
}

SolePoint between(const SolePoint& a, const SolePoint& b, double share) {
  return {(1.0 - share) * a.along + share * b.along, (1.0 - share) * a.inner + share * b.inner};
}

/// Cuts every corner at a quarter of its sides (Chaikin 1974): a smooth outline from a few points.
std::vector<SolePoint> rounded(const std::vector<SolePoint>& closed) {
  std::vector<SolePoint> round;
  for (std::size_t i = 0; i + 1 < closed.size(); ++i) {
    round.push_back(between(closed[i], closed[i + 1], 0.25));
    round.push_back(between(closed[i], closed[i + 1], 0.75));
  }
  round.push_back(round.front());
  return round;
}

}  // namespace

std::vector<SolePoint> sole_outline(session::FootLineSource source) {
  const Ends ends = ends_of(source);
  const double length = 1.0 / (ends.toe - ends.heel);
  std::vector<SolePoint> outline;
  const auto add = [&](double along, double inner) {
    outline.push_back({(along - ends.heel) * length, inner * length});
  };
  for (const Breadth& b : breadths) add(b.along, b.inner);
  for (auto b = breadths.rbegin(); b != breadths.rend(); ++b) add(b->along, -b->outer);
  outline.push_back(outline.front());
  return rounded(rounded(outline));
}

}  // namespace moundwork::summary
