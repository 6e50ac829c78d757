// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/intake/hardest_landing.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace moundwork;
using intake::CarriedForce;

namespace {

constexpr double weight = 800.0, rate = 1000.0;

// Plates of six seconds, numbered from 1, on which somebody stands, walks and lands.
class Floor {
 public:
  explicit Floor(int plates) : platforms_(static_cast<std::size_t>(plates)) {
    for (auto& platform : platforms_) {
      platform.number = static_cast<int>(&platform - platforms_.data()) + 1;
      all_.push_back({&platform, Eigen::ArrayX3d::Zero(6000, 3)});
    }
  }
  // Body weights down and toward second base, half of a sine in time.
  void step(int plate, double from, double length, double down, double braking) {
    auto& force = all_[static_cast<std::size_t>(plate - 1)].force;
    for (auto i = static_cast<Eigen::Index>(from * rate);
         i < static_cast<Eigen::Index>((from + length) * rate); ++i) {
      const double wave = std::sin(3.14159265 * (static_cast<double>(i) / rate - from) / length);
      force(i, 2) += down * weight * wave;
      force(i, 0) -= braking * weight * wave;
    }
  }
  void stand(int plate, double from, double length, double down) {
    auto& force = all_[static_cast<std::size_t>(plate - 1)].force;
    force.col(2).segment(static_cast<Eigen::Index>(from * rate),
                         static_cast<Eigen::Index>(length * rate)) += down * weight;
  }
  [[nodiscard]] std::optional<intake::HardLanding> hardest() const {
    const std::vector<bool> any(all_.size(), true);
    return hardest(any, any);
  }
  [[nodiscard]] std::optional<intake::HardLanding> hardest(const std::vector<bool>& land,
                                                           const std::vector<bool>& stand) const {
    return intake::hardest_landing(all_, land, stand, weight, rate);
  }

 private:
  std::vector<c3d::ForcePlatform> platforms_;
  std::vector<CarriedForce> all_;
};

// A throw from plate `back` onto `lead`, landing at 4 s.
void throw_on(Floor& floor, int back, int lead, double share = 1.0) {
  floor.stand(back, 2.0, 2.02, share);
  floor.step(lead, 4.0, 0.3, 2.0 * share, 1.0 * share);
}

}  // namespace

TEST_CASE("the plates of a throw are told by its landing, whoever walked there before",
          "[import]") {
  Floor floor(2);
  // Over the lead plate to the back plate.
  floor.stand(2, 0.2, 0.6, 1.0);
  floor.step(1, 0.75, 0.6, 1.1, 0.2);
  throw_on(floor, 1, 2);
  const auto landing = floor.hardest();
  REQUIRE(landing);
  CHECK(landing->on->number == 2);
  CHECK(landing->stood_on->number == 1);
  CHECK(static_cast<double>(landing->sample) / rate == Approx(4.01).margin(0.01));
  CHECK(landing->braking == Approx(1.0 * weight).epsilon(0.05));
}

TEST_CASE("feet on two plates each are one landing, named by the plates that carry most",
          "[import]") {
  Floor floor(4);
  throw_on(floor, 1, 3, 0.4);
  throw_on(floor, 2, 4, 0.6);
  const auto landing = floor.hardest();
  REQUIRE(landing);
  CHECK(landing->on->number == 4);
  CHECK(landing->stood_on->number == 2);
  CHECK(landing->braking == Approx(weight).epsilon(0.05));
}

TEST_CASE("who only walks, or lands where nobody stood before, makes no landing of a throw",
          "[import]") {
  Floor walk(2);
  walk.stand(1, 0.0, 2.0, 1.0);
  walk.step(2, 1.9, 0.6, 1.1, 0.1);
  CHECK_FALSE(walk.hardest());
  Floor jump(2);
  jump.step(2, 3.0, 0.3, 2.0, 1.0);
  CHECK_FALSE(jump.hardest());
  // Where a foot's plates are given, only they count.
  Floor floor(3);
  throw_on(floor, 1, 2);
  CHECK(floor.hardest({false, true, true}, {true, false, false}));
  CHECK_FALSE(floor.hardest({false, false, true}, {true, false, false}));
}
