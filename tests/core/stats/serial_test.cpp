// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/serial.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "core/base/random.h"
#include "core/stats/correlation.h"
#include "core/stats/distributions.h"

using namespace moundwork;
using namespace moundwork::stats;

namespace {

// A first-order autoregressive series of unit variance.
Eigen::VectorXd alike(Random& random, Eigen::Index n, double phi) {
  Eigen::VectorXd x(n);
  x[0] = random.normal();
  for (Eigen::Index i = 1; i < n; ++i)
    x[i] = phi * x[i - 1] + std::sqrt(1.0 - phi * phi) * random.normal();
  return x;
}

Eigen::VectorXd order_of(Eigen::Index n) {
  return Eigen::VectorXd::LinSpaced(n, 1.0, static_cast<double>(n));
}

}  // namespace

TEST_CASE("each piece loses its own line, short ones share one", "[stats][serial]") {
  Groups pieces;
  Eigen::VectorXd order(12), values(12);
  for (int i = 0; i < 12; ++i) {
    pieces.of_row.push_back(i < 6 ? 0 : (i < 9 ? 1 : 2));
    order[i] = i < 6 ? i - 2.5 : (i < 9 ? i - 7.0 : i - 10.0);
    values[i] = i < 6 ? 3.0 * order[i] : -2.0 * order[i];
  }
  pieces.count = 3;
  const auto left = without_lines(values, order, pieces, 5);
  CHECK(left.lines == 2);
  CHECK(left.values.cwiseAbs().maxCoeff() < 1e-12);
  order[2] = std::nan("");
  const auto partly = without_lines(values, order, pieces, 5);
  CHECK(partly.lines == 1);
  CHECK(partly.values[0] == values[0]);
}

TEST_CASE("the likeness of neighbours is found in short pieces", "[stats][serial]") {
  // True phi by construction; the mean of many estimates, 4 standard errors wide.
  for (const double phi : {0.3, 0.6}) {
    Random random(11, static_cast<std::uint64_t>(10 * phi));
    constexpr int runs = 400;
    const Eigen::Index n = 60;
    Groups one{std::vector<int>(static_cast<std::size_t>(n), 0), 1};
    double sum = 0.0;
    for (int run = 0; run < runs; ++run) {
      const Eigen::VectorXd x = alike(random, n, phi);
      const Eigen::VectorXd order =
          (order_of(n).array() - 0.5 * static_cast<double>(n + 1)).matrix();
      const auto left = without_lines((x.array() - x.mean()).matrix(), order, one, 5);
      sum += neighbour_likeness(left.values, order, one, true);
    }
    CHECK(sum / runs == Approx(phi).margin(0.04));
  }
  Groups one{std::vector<int>(3, 0), 1};
  CHECK(neighbour_likeness(Eigen::VectorXd::Ones(3), order_of(3), one, true) == 0.0);
}

TEST_CASE("alike neighbours count for fewer, so luck is not taken for a relation",
          "[stats][serial]") {
  // (1 - a b) / (1 + a b), Bartlett 1935: 0.5 and 0.5 leave 0.6 of the degrees of freedom.
  CHECK(effective_df(40.0, 0.5, 0.5) == Approx(24.0));
  CHECK(effective_df(40.0, 0.0, 0.9) == Approx(40.0));
  CHECK(effective_df(1.2, 0.9, 0.9) == 1.0);
  Random random(12, 0);
  constexpr int runs = 1500;
  const Eigen::Index n = 24;
  Groups one{std::vector<int>(static_cast<std::size_t>(n), 0), 1};
  const Eigen::VectorXd order = (order_of(n).array() - 12.5).matrix();
  int plain = 0, counted = 0;
  for (int run = 0; run < runs; ++run) {
    const Eigen::VectorXd x = alike(random, n, 0.5), y = alike(random, n, 0.5);
    const auto x_left = without_lines((x.array() - x.mean()).matrix(), order, one, 5).values;
    const auto y_left = without_lines((y.array() - y.mean()).matrix(), order, one, 5).values;
    const double df = static_cast<double>(n) - 3.0;
    const double fewer = effective_df(df, neighbour_likeness(x_left, order, one, true),
                                      neighbour_likeness(y_left, order, one, true));
    plain += residual_correlation(x_left, y_left, x, y, df, 0.95).p <= 0.05 ? 1 : 0;
    counted += residual_correlation(x_left, y_left, x, y, fewer, 0.95).p <= 0.05 ? 1 : 0;
  }
  // Binomial: 5 % of 1500 gives more than 103 once in some two thousand tries.
  CHECK(counted <= 103);
  CHECK(plain > 120);
}
