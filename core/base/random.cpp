// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/random.h"

#include <cmath>

namespace moundwork {
namespace {

// The finaliser of SplitMix64 (Steele, Lea and Flood 2014, from memory): spreads neighbouring seeds
// and streams over the engine's whole range.
std::uint64_t mix(std::uint64_t x) {
  x += 0x9e3779b97f4a7c15ULL;
  x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9ULL;
  x = (x ^ (x >> 27)) * 0x94d049bb133111ebULL;
  return x ^ (x >> 31);
}

}  // namespace

Random::Random(std::uint64_t seed, std::uint64_t stream) : engine_(mix(mix(seed) ^ stream)) {}

double Random::uniform() { return static_cast<double>(engine_() >> 11) * 0x1p-53; }

double Random::uniform(double low, double high) { return low + (high - low) * uniform(); }

// Marsaglia's polar method: two independent values a round.
double Random::normal() {
  if (has_spare_) {
    has_spare_ = false;
    return spare_;
  }
  double x = 0.0;
  double y = 0.0;
  double square = 0.0;
  do {
    x = 2.0 * uniform() - 1.0;
    y = 2.0 * uniform() - 1.0;
    square = x * x + y * y;
  } while (square >= 1.0 || square == 0.0);
  const double factor = std::sqrt(-2.0 * std::log(square) / square);
  spare_ = y * factor;
  has_spare_ = true;
  return x * factor;
}

double Random::normal(double mean, double sd) { return mean + sd * normal(); }

double Random::normal_within(double mean, double sd, double low, double high) {
  double value = normal(mean, sd);
  while (value < low || value > high) value = normal(mean, sd);
  return value;
}

double Random::exponential(double mean) { return -mean * std::log(1.0 - uniform()); }

bool Random::chance(double probability) { return uniform() < probability; }

int Random::integer(int low, int high) {
  return low + static_cast<int>(uniform() * static_cast<double>(high - low + 1));
}

}  // namespace moundwork
