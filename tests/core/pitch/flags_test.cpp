// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/flags.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

using namespace moundwork;
using definitions::Quantity;

namespace {

constexpr double step = 0.001;

// A foot standing still on a level plate of 0.6 m by 0.4 m for a second.
struct Stance {
  foot::PlateWindow window;
  foot::FootForces foot;
  foot::TimeSpan summed{0.2, 0.8};

  explicit Stance(double cop_x = 0.0) {
    window.step = foot.step = step;
    window.wrench = plate::WrenchSeries::Zero(1000, 6);
    window.frame = {Eigen::Matrix3d::Identity(), Eigen::Vector3d::Zero(), Eigen::Vector3d::UnitZ(),
                    Eigen::Vector2d(0.3, 0.2)};
    window.zero_seen = true;
    foot.z = Eigen::ArrayXd::Constant(1000, 800.0);
    foot.cop_x = Eigen::ArrayXd::Constant(1000, cop_x);
    foot.cop_y = Eigen::ArrayXd::Zero(1000);
  }

  [[nodiscard]] std::vector<session::ResultFlag> flags() const {
    auto all = pitch::plate_flags(window, "back", 0.0, {0.2, 0.8}, summed, {});
    const auto load = pitch::load_flags(foot::FootWindow::make({window}).value(), foot,
                                        session::PlateRole::back, {0.2, 0.8}, summed, {});
    all.insert(all.end(), load.begin(), load.end());
    return all;
  }
  [[nodiscard]] bool flagged(const std::string& key) const {
    const auto flags = this->flags();
    return std::any_of(flags.begin(), flags.end(), [&](const auto& f) { return f.key == key; });
  }
};

}  // namespace

TEST_CASE("a clean stance has no flags") {
  const Stance stance;
  CHECK(stance.flags().empty());
}

TEST_CASE("gaps and clipping are flagged only where the numbers are read") {
  Stance stance;
  stance.window.gaps = {{0.05, 0.1}};
  stance.window.clipped = {{{0.9, 0.95}, "Fz"}};
  CHECK_FALSE(stance.flagged("missing_samples"));
  CHECK_FALSE(stance.flagged("clipped_channel"));
  // Body momentum is summed from the quiet set on.
  stance.summed = {0.0, 0.95};
  CHECK(stance.flagged("missing_samples"));
  CHECK(stance.flagged("clipped_channel"));
  stance.summed = {0.2, 0.8};
  stance.window.gaps = {{0.5, 0.52}};
  stance.window.clipped = {{{0.5, 0.6}, "Fz"}};
  CHECK(stance.flagged("missing_samples"));
  CHECK(stance.flagged("clipped_channel"));
}

TEST_CASE("many gaps are told in one line with their number") {
  Stance stance;
  for (int i = 0; i < 30; ++i) stance.window.gaps.push_back({0.3 + 0.01 * i, 0.301 + 0.01 * i});
  const auto flags = stance.flags();
  CHECK(std::count_if(flags.begin(), flags.end(),
                      [](const auto& flag) { return flag.key == "missing_samples"; }) == 1);
  const auto said = std::find_if(flags.begin(), flags.end(),
                                 [](const auto& flag) { return flag.key == "missing_samples"; });
  REQUIRE(said != flags.end());
  CHECK(said->detail.find("30 times, 30 ms in all, first at 0.300 s") != std::string::npos);
}

TEST_CASE("a clock that disagrees with the computer's is flagged with both numbers") {
  Stance stance;
  CHECK_FALSE(stance.flagged("clock_disagrees"));
  stance.window.rates.stated_tick_rate = 1.01e6;
  stance.window.rates.tick_rate = 1e6;
  stance.window.rates.ticks_disagree = true;
  CHECK(stance.flagged("clock_disagrees"));
}

TEST_CASE("a force that no athlete gives is flagged, where the numbers are read") {
  Stance stance;
  stance.foot.x = Eigen::ArrayXd::Zero(1000);
  stance.foot.x(900) = -340e3;  // kilonewtons taken for newtons
  CHECK_FALSE(stance.flagged("implausible_force"));
  stance.summed = {0.2, 0.95};
  CHECK(stance.flagged("implausible_force"));
  stance.summed = {0.2, 0.8};
  stance.foot.x(500) = -340e3;
  CHECK(stance.flagged("implausible_force"));
}

TEST_CASE("a zero that moved or was never seen is flagged") {
  Stance stance;
  stance.window.zero(2) = 11.0;
  CHECK(stance.flagged("drifted_zero"));
  stance.window.zero_seen = false;
  CHECK(stance.flagged("zero_not_seen"));
}

TEST_CASE("a centre of pressure at the plate's edge means a foot partly off it") {
  CHECK_FALSE(Stance(0.27).flagged("foot_partly_off_plate"));
  CHECK(Stance(0.29).flagged("foot_partly_off_plate"));
  CHECK(Stance(0.31).flagged("foot_partly_off_plate"));
}

TEST_CASE("a long gap takes the numbers of its foot and of both, a short one none") {
  Stance back;
  Stance lead;
  definitions::QuantityValues values;
  values.fill(1.0);
  const foot::TimeSpan used{0.2, 0.8};
  back.window.gaps = {{0.5, 0.505}};
  pitch::blank_gaps(back.window, lead.window, {used, used, used}, {}, values);
  CHECK(definitions::at(values, Quantity::drive_impulse) == 1.0);
  // A gap that only body momentum is summed over.
  back.window.gaps = {{0.05, 0.1}};
  pitch::blank_gaps(back.window, lead.window, {used, used, {0.0, 0.8}}, {}, values);
  CHECK(std::isnan(definitions::at(values, Quantity::momentum_at_contact)));
  CHECK(std::isnan(definitions::at(values, Quantity::momentum_at_release)));
  CHECK(definitions::at(values, Quantity::drive_impulse) == 1.0);
  CHECK(definitions::at(values, Quantity::both_feet_overlap) == 1.0);
  back.window.gaps = {{0.5, 0.52}};
  pitch::blank_gaps(back.window, lead.window, {used, used, used}, {}, values);
  CHECK(std::isnan(definitions::at(values, Quantity::drive_impulse)));
  CHECK(std::isnan(definitions::at(values, Quantity::balance_sway_area)));
  CHECK(std::isnan(definitions::at(values, Quantity::stride_length)));
  CHECK(definitions::at(values, Quantity::braking_impulse) == 1.0);
  CHECK(definitions::at(values, Quantity::vertical_rate_mean_bw) == 1.0);
  CHECK(definitions::at(values, Quantity::ball_speed) == 1.0);
}

TEST_CASE("an edge between two plates of a foot is no edge of what it stands on", "[flags]") {
  // Two plates of 0.6 m by 0.4 m side by side along x, 4 mm apart.
  Stance stance;
  std::vector<foot::PlateWindow> plates{stance.window, stance.window};
  plates[1].frame.centre.x() = 0.604;
  const auto margin_said = [&](double x, double y) {
    stance.foot.cop_x.setConstant(x);
    stance.foot.cop_y.setConstant(y);
    const auto flags = pitch::load_flags(foot::FootWindow::make(plates).value(), stance.foot,
                                         session::PlateRole::lead, {0.2, 0.8}, {0.2, 0.8}, {});
    return std::any_of(flags.begin(), flags.end(),
                       [](const auto& flag) { return flag.key == "foot_partly_off_plate"; });
  };
  CHECK_FALSE(margin_said(0.302, 0.0));
  CHECK_FALSE(margin_said(0.290, 0.1));
  CHECK_FALSE(margin_said(0.310, -0.17));
  CHECK(margin_said(0.302, 0.19));
  CHECK(margin_said(-0.29, 0.0));
  CHECK(margin_said(0.90, 0.0));
  CHECK(margin_said(0.95, 0.0));
}
