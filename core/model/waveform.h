// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <limits>
#include <vector>

/// Smooth functions of time that the model's forces are built from. All are twice continuously
/// differentiable or better, and exactly zero outside their support, as the force under a foot in
/// the air is.
namespace moundwork::model {

/// 0 up to `from`, 1 after `to`; between them x^4 (35 - 84 x + 70 x^2 - 20 x^3), whose first three
/// derivatives vanish at both ends.
struct Ramp {
  double from = 0.0;
  double to = 0.0;
  [[nodiscard]] double operator()(double t) const;
};

inline constexpr double never = std::numeric_limits<double>::infinity();

/// amplitude x rise x (1 - fall) x hump x cosine; a factor not asked for is 1.
class Term {
 public:
  static Term step(double amplitude, Ramp rise);
  /// x^p (1 - x)^q scaled to 1 at `peak`, the lesser of p and q being 3.
  static Term hump(double amplitude, double start, double peak, double end);
  static Term tone(double amplitude, double frequency, double phase);

  [[nodiscard]] Term from(Ramp rise) const;   ///< as this, fading in
  [[nodiscard]] Term until(Ramp fall) const;  ///< as this, fading out
  [[nodiscard]] Term scaled(double factor) const;

  [[nodiscard]] double operator()(double t) const;
  [[nodiscard]] double amplitude() const { return amplitude_; }

 private:
  double amplitude_ = 0.0;
  Ramp rise_{-never, -never};
  Ramp fall_{never, never};
  bool has_hump_ = false;
  double start_ = 0.0, end_ = 0.0;      // s
  double p_ = 0.0, q_ = 0.0;            // exponents
  double log_peak_ = 0.0;               // log of x^p (1 - x)^q at its peak
  double angular_ = 0.0, phase_ = 0.0;  // rad/s, rad; cosine of 0 is the factor 1
};

/// A constant plus terms.
class Waveform {
 public:
  Waveform() = default;
  explicit Waveform(double constant) : constant_(constant) {}
  Waveform& add(const Term& term);
  Waveform& add(const Waveform& other, double factor);
  [[nodiscard]] double operator()(double t) const;
  [[nodiscard]] Waveform scaled(double factor) const;

 private:
  double constant_ = 0.0;
  std::vector<Term> terms_;
};

}  // namespace moundwork::model
