// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/signal/butterworth.h"

#include <catch2/catch.hpp>
#include <complex>
#include <limits>
#include <numbers>

using namespace moundwork;
using Eigen::ArrayXd;

namespace {

// Four zeros, eight hundreds, eight zeros.
ArrayXd step_pulse() {
  ArrayXd x = ArrayXd::Zero(20);
  x.segment(4, 8) = 100.0;
  return x;
}

double gain_at(const std::vector<signal::Biquad>& sections, double frequency, double rate) {
  const auto z = std::polar(1.0, -2.0 * std::numbers::pi * frequency / rate);
  std::complex<double> h = 1.0;
  for (const auto& s : sections)
    h *= (s.b0 + s.b1 * z + s.b2 * z * z) / (1.0 + s.a1 * z + s.a2 * z * z);
  return std::abs(h);
}

void check_all(const ArrayXd& found, const std::vector<double>& expected) {
  REQUIRE(found.size() == static_cast<Eigen::Index>(expected.size()));
  for (Eigen::Index i = 0; i < found.size(); ++i)
    CHECK(found(i) == Approx(expected[static_cast<std::size_t>(i)]).epsilon(1e-9).margin(1e-9));
}

}  // namespace

// Coefficients and sequences: SciPy 1.10.1 butter, lfilter, filtfilt and sosfiltfilt.
TEST_CASE("second-order designs have SciPy's coefficients") {
  struct Row {
    double rate, cutoff, b0, a1, a2;
  };
  for (const Row& row :
       {Row{1000, 50, 0.0200833655642112, -1.56101807580072, 0.641351538057563},
        Row{1000, 20, 0.00362168151492864, -1.82269492519631, 0.837181651256023},
        Row{2000, 50, 0.00554271721028068, -1.77863177782458, 0.800802646665707},
        Row{2000, 20, 0.000944691843840151, -1.91119706742607, 0.914975834801434}}) {
    const auto s = signal::low_pass(2, row.cutoff, row.rate).value().at(0);
    CHECK(s.b0 == Approx(row.b0).epsilon(1e-12));
    CHECK(s.b1 == Approx(2 * row.b0).epsilon(1e-12));
    CHECK(s.a1 == Approx(row.a1).epsilon(1e-12));
    CHECK(s.a2 == Approx(row.a2).epsilon(1e-12));
  }
}

TEST_CASE("fourth-order designs have SciPy's sections") {
  const auto s = signal::low_pass(4, 50, 1000).value();
  REQUIRE(s.size() == 2);
  CHECK(s[0].b0 * s[1].b0 == Approx(0.000416599204406599).epsilon(1e-12));
  CHECK(s[0].a1 == Approx(-1.47967421693119).epsilon(1e-12));
  CHECK(s[0].a2 == Approx(0.555821543282489).epsilon(1e-12));
  CHECK(s[1].a1 == Approx(-1.70096433194353).epsilon(1e-12));
  CHECK(s[1].a2 == Approx(0.788499739815298).epsilon(1e-12));
}

TEST_CASE("one pass from zero state equals SciPy's lfilter") {
  check_all(signal::filter(signal::low_pass(2, 50, 1000).value(), step_pulse()), {0,
                                                                                  0,
                                                                                  0,
                                                                                  0,
                                                                                  2.00833655642,
                                                                                  9.16005933613,
                                                                                  21.0443146854,
                                                                                  35.0090836985,
                                                                                  49.1863551054,
                                                                                  62.361005952,
                                                                                  73.8342592435,
                                                                                  83.2946324361,
                                                                                  88.695720792,
                                                                                  87.042819334,
                                                                                  78.9902774,
                                                                                  67.4802047772,
                                                                                  54.6772835139,
                                                                                  42.0736947785,
                                                                                  30.6104381866,
                                                                                  20.7994184594});
}

TEST_CASE("two passes of order two equal SciPy's filtfilt") {
  check_all(signal::zero_phase(signal::low_pass(2, 50, 1000).value(), step_pulse()),
            {3.27707942657, 17.9658489191, 32.2222092527, 45.6469813082, 57.5838299069,
             67.2390392278, 73.9427299495, 77.3066332436, 77.221479044,  73.82369723,
             67.4955880738, 58.897588299,  48.9657342837, 38.7419110439, 29.0912116796,
             20.5489027901, 13.3519502937, 7.52378240702, 2.94658959686, -0.57943798715});
}

TEST_CASE("two passes of order four equal SciPy's sosfiltfilt") {
  check_all(signal::zero_phase(signal::low_pass(4, 50, 1000).value(), step_pulse()),
            {-0.533538951406, 16.9328644623, 33.5745607099, 48.6153708301,   61.3759329651,
             71.3159485142,   78.0697596799, 81.4706455616, 81.5597360821,   78.5772012656,
             72.9355723224,   65.1772181412, 55.9201355431, 45.7982917438,   35.404247712,
             25.2417898205,   15.694400183,  7.01224925728, -0.682857505527, -7.37772391924});
}

TEST_CASE("signals side by side are filtered as each alone") {
  // The filter is linear and keeps constants, so c + 1 times the pulse and c more must give c + 1
  // times the pulse's values, those of SciPy above, and c more.
  const ArrayXd alone = signal::zero_phase(signal::low_pass(2, 50, 1000).value(), step_pulse());
  for (const Eigen::Index columns : {1, 2, 3, 6, 7, 15}) {
    Eigen::ArrayXXd x(20, columns);
    for (Eigen::Index c = 0; c < columns; ++c)
      x.col(c) = static_cast<double>(c + 1) * step_pulse() + static_cast<double>(c);
    const auto y = signal::zero_phase_columns(signal::low_pass(2, 50, 1000).value(), x);
    REQUIRE(y.cols() == columns);
    for (Eigen::Index c = 0; c < columns; ++c) {
      const ArrayXd expected = static_cast<double>(c + 1) * alone + static_cast<double>(c);
      CHECK(((y.col(c) - expected).abs() < 1e-9).all());
    }
  }
  CHECK(signal::zero_phase_columns(signal::low_pass(2, 50, 1000).value(), Eigen::ArrayXXd(0, 6))
            .rows() == 0);
}

TEST_CASE("a gap in one signal stays out of its neighbours") {
  Eigen::ArrayXXd x = Eigen::ArrayXXd::Constant(40, 6, 3.0);
  x(20, 2) = std::numeric_limits<double>::quiet_NaN();
  const auto y = signal::zero_phase_columns(signal::low_pass(2, 50, 1000).value(), x);
  for (const Eigen::Index c : {0, 1, 3, 4, 5}) CHECK(((y.col(c) - 3.0).abs() < 1e-9).all());
  CHECK(y.col(2).isNaN().any());
}

TEST_CASE("the cut-off of two passes is corrected as in the handbook") {
  // Winter: divide by 0.802 for a dual pass of second order.
  CHECK(signal::design_cutoff(50, 2, 2) == Approx(50 / 0.802243262923).epsilon(1e-11));
  CHECK(signal::design_cutoff(50, 4, 2) / 50 == Approx(1.116469750047).epsilon(1e-11));
  CHECK(signal::design_cutoff(50, 2, 1) == Approx(50));
  const auto s = signal::low_pass(2, 62.325235, 1000).value();
  CHECK(std::pow(gain_at(s, 50, 1000), 2) == Approx(0.710921460438).epsilon(1e-6));
}

TEST_CASE("zero-phase filtering keeps constants and short signals") {
  const auto s = signal::low_pass(2, 50, 1000).value();
  check_all(signal::zero_phase(s, ArrayXd::Constant(40, 7.5)), std::vector<double>(40, 7.5));
  check_all(signal::zero_phase(s, ArrayXd::Constant(3, -2.0)), {-2.0, -2.0, -2.0});
  CHECK(signal::zero_phase(s, ArrayXd::Constant(1, 4.0))(0) == 4.0);
  CHECK(signal::zero_phase(s, ArrayXd(0)).size() == 0);
}

TEST_CASE("impossible designs are refused in a sentence") {
  CHECK(signal::low_pass(3, 50, 1000).error().sentence().find("order 3") != std::string::npos);
  CHECK(signal::low_pass(2, 500, 1000).error().sentence().find("500") != std::string::npos);
  CHECK_FALSE(signal::low_pass(2, -1, 1000));
  CHECK_FALSE(signal::low_pass(2, std::numeric_limits<double>::quiet_NaN(), 1000));
}
