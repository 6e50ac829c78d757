// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <random>

namespace moundwork {

/// Random numbers that are the same for one seed with every compiler: the engine's sequence is
/// fixed by the C++ standard, the distributions are written out here because the standard's are
/// not.
class Random {
 public:
  /// `stream` separates independent uses of one seed (an athlete, an instrument), so that switching
  /// one source of variation off leaves the others as they were.
  Random(std::uint64_t seed, std::uint64_t stream);

  [[nodiscard]] double uniform();                         ///< [0, 1)
  [[nodiscard]] double uniform(double low, double high);  ///< [low, high)
  [[nodiscard]] double normal();                          ///< mean 0, standard deviation 1
  [[nodiscard]] double normal(double mean, double sd);
  /// Normal, redrawn until it falls within [low, high].
  [[nodiscard]] double normal_within(double mean, double sd, double low, double high);
  [[nodiscard]] double exponential(double mean);
  [[nodiscard]] bool chance(double probability);
  [[nodiscard]] int integer(int low, int high);  ///< inclusive ends

 private:
  std::mt19937_64 engine_;
  double spare_ = 0.0;
  bool has_spare_ = false;
};

}  // namespace moundwork
