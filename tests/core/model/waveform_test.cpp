// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/waveform.h"

#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <boost/math/special_functions/beta.hpp>
#include <catch2/catch.hpp>
#include <cmath>

using namespace moundwork::model;

namespace {

// Greatest jump of the second derivative between neighbouring points, over its greatest size: a
// jump that does not shrink with the step means that the second derivative is not continuous.
template <class Function>
double second_derivative_jump(const Function& f, double from, double to, double step) {
  double greatest = 0.0;
  double jump = 0.0;
  double before = 0.0;
  for (double t = from; t <= to; t += step) {
    const double second = (f(t + step) - 2.0 * f(t) + f(t - step)) / (step * step);
    greatest = std::max(greatest, std::abs(second));
    jump = std::max(jump, std::abs(second - before));
    before = second;
  }
  return jump / greatest;
}

}  // namespace

TEST_CASE("a ramp goes from nothing to one with a flat start and end") {
  const Ramp ramp{1.0, 3.0};
  CHECK(ramp(0.9) == 0.0);
  CHECK(ramp(3.1) == 1.0);
  CHECK(ramp(2.0) == Approx(0.5).epsilon(1e-14));  // the polynomial is odd about its middle
  // By hand: x = 1/4: (1/256)(35 - 21 + 70/16 - 20/64) = 18.0625 / 256.
  CHECK(ramp(1.5) == Approx(18.0625 / 256.0).epsilon(1e-14));
}

TEST_CASE("a hump peaks where asked and holds the area of the beta function") {
  // Peak at a quarter: exponents 3 and 9; peak value (1/4)^3 (3/4)^9.
  const Term hump = Term::hump(2.0, 1.0, 1.5, 3.0);
  CHECK(hump(1.5) == Approx(2.0).epsilon(1e-13));
  CHECK(hump(1.45) < 2.0);
  CHECK(hump(1.55) < 2.0);
  CHECK(hump(1.0) == 0.0);
  CHECK(hump(3.0) == 0.0);
  const double area =
      boost::math::quadrature::gauss_kronrod<double, 61>::integrate(hump, 1.0, 3.0, 10, 1e-12);
  // Definition of the beta function: the integral of x^3 (1 - x)^9 is B(4, 10).
  const double peak = std::pow(0.25, 3) * std::pow(0.75, 9);
  CHECK(area == Approx(2.0 * 2.0 * boost::math::beta(4.0, 10.0) / peak).epsilon(1e-9));
}

TEST_CASE("ramps, humps and faded tones are twice continuously differentiable") {
  const Ramp ramp{0.0, 1.0};
  const Term hump = Term::hump(1.0, 0.0, 0.2, 1.0);
  const Term tone = Term::tone(1.0, 2.0, 0.3).from({0.0, 0.3}).until({0.6, 1.0});
  // Halving the step halves the jump of a continuous second derivative.
  for (const double step : {2e-3, 1e-3}) {
    CHECK(second_derivative_jump(ramp, -0.1, 1.1, step) < 40.0 * step);
    CHECK(second_derivative_jump(hump, -0.1, 1.1, step) < 80.0 * step);
    CHECK(second_derivative_jump(tone, -0.1, 1.1, step) < 80.0 * step);
  }
  // A corner is seen: the same measure on |t| does not shrink.
  const auto corner = [](double t) { return std::abs(t - 0.5); };
  CHECK(second_derivative_jump(corner, 0.0, 1.0, 1e-3) > 0.5);
}

TEST_CASE("waveforms add and scale") {
  Waveform wave(1.0);
  wave.add(Term::step(2.0, {0.0, 1.0}));
  Waveform sum(0.5);
  sum.add(wave, 2.0);
  CHECK(wave(-1.0) == 1.0);
  CHECK(wave(2.0) == 3.0);
  CHECK(sum(2.0) == Approx(6.5));
  CHECK(wave.scaled(-1.0)(2.0) == Approx(-3.0));
}
