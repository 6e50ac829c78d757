// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/distributions.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using namespace moundwork::stats;

TEST_CASE("Quantiles of the usual distributions", "[stats]") {
  // R 4.2.2: qnorm, qt, qf, to the digits that R printed.
  CHECK(normal_quantile(0.975) == Approx(1.959963985).epsilon(1e-9));
  CHECK(normal_quantile(0.8) == Approx(0.8416212).epsilon(1e-7));
  CHECK(t_quantile(0.975, 4.5) == Approx(2.658912).epsilon(1e-6));
  CHECK(f_quantile(0.975, 5, 18) == Approx(3.381968).epsilon(1e-6));
  CHECK(f_quantile(0.975, 18, 5) == Approx(6.361883).epsilon(1e-6));
}

TEST_CASE("Arguments outside a distribution give NaN or its limit", "[stats]") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinity = std::numeric_limits<double>::infinity();
  CHECK(std::isnan(t_two_sided_p(1.0, 0.0)));
  CHECK(std::isnan(t_two_sided_p(nan, 5.0)));
  CHECK(t_two_sided_p(infinity, 5.0) == 0.0);
  CHECK(std::isnan(t_quantile(0.975, -1.0)));
  CHECK(std::isnan(f_quantile(0.975, 3.0, 0.0)));
  CHECK(normal_quantile(0.0) == -infinity);
  CHECK(normal_cdf(infinity) == 1.0);
}
