// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/intake/hardest_landing.h"

#include <algorithm>

namespace moundwork::intake {
namespace {

constexpr double load = 0.2, empty = 0.05, least_braking = 0.15;  // of the weight
// s. The rise of a landing itself takes some hundredths of a second.
constexpr double clear_from = 0.2, clear_to = 0.1, stand_from = 0.4, braked_in = 0.25;

class Landings {
 public:
  Landings(const std::vector<CarriedForce>& plates, const std::vector<bool>& may_land,
           const std::vector<bool>& may_stand, double weight, double rate)
      : plates_(plates), may_land_(may_land), may_stand_(may_stand), weight_(weight), rate_(rate) {
    for (const CarriedForce& carried : plates) zero_.push_back(empty_reading(carried));
  }

  [[nodiscard]] std::optional<HardLanding> hardest() const {
    std::optional<HardLanding> best;
    for (std::size_t p = 0; p < plates_.size(); ++p) {
      if (!may_land_[p]) continue;
      for (Eigen::Index i = samples(stand_from); i < plates_[p].force.rows(); ++i) {
        if (vertical(p, i) < load * weight_ || vertical(p, i - 1) >= load * weight_) continue;
        if (!was_empty(p, i)) continue;
        const auto landing = landing_at(i);
        if (!landing) continue;
        // Plates of one foot pass the load at moments of their own: the first is the landing's.
        const bool same = best && std::abs(landing->sample - best->sample) <= samples(clear_to);
        if (!best || landing->braking > best->braking) {
          const Eigen::Index first = same ? std::min(best->sample, i) : i;
          best = landing;
          best->sample = first;
        } else if (same) {
          best->sample = std::min(best->sample, i);
        }
      }
    }
    return best;
  }

 private:
  [[nodiscard]] Eigen::Index samples(double time) const {
    return std::max<Eigen::Index>(1, static_cast<Eigen::Index>(time * rate_));
  }

  [[nodiscard]] double vertical(std::size_t plate, Eigen::Index sample) const {
    return plates_[plate].force(sample, 2) - zero_[plate];
  }

  [[nodiscard]] Eigen::ArrayXd vertical(std::size_t plate, Eigen::Index from,
                                        Eigen::Index to) const {
    return plates_[plate].force.col(2).segment(from, to - from) - zero_[plate];
  }

  [[nodiscard]] bool was_empty(std::size_t plate, Eigen::Index sample) const {
    return vertical(plate, sample - samples(clear_from), sample - samples(clear_to)).maxCoeff() <
           empty * weight_;
  }

  [[nodiscard]] std::optional<HardLanding> landing_at(Eigen::Index i) const {
    HardLanding landing{i, 0.0, nullptr, nullptr};
    const Eigen::Index size = plates_.front().force.rows();
    const Eigen::Index after = std::min(samples(braked_in), size - i);
    const Eigen::Index from = i - samples(stand_from), to = i - samples(clear_to);
    Eigen::ArrayXd braked = Eigen::ArrayXd::Zero(after);
    Eigen::ArrayXd stood = Eigen::ArrayXd::Zero(to - from);
    double most_landed = 0.0, most_stood = 0.0;
    for (std::size_t p = 0; p < plates_.size(); ++p) {
      if (was_empty(p, i)) {
        if (!may_land_[p]) continue;
        braked -= plates_[p].force.col(0).segment(i, after);
        const double most = vertical(p, i, i + after).maxCoeff();
        if (most <= most_landed) continue;
        most_landed = most;
        landing.on = plates_[p].plate;
      } else if (may_stand_[p]) {
        const Eigen::ArrayXd carried = vertical(p, from, to);
        stood += carried;
        if (carried.mean() <= most_stood) continue;
        most_stood = carried.mean();
        landing.stood_on = plates_[p].plate;
      }
    }
    landing.braking = braked.maxCoeff();
    if (landing.on == nullptr || landing.stood_on == nullptr || stood.minCoeff() < load * weight_ ||
        landing.braking < least_braking * weight_)
      return std::nullopt;
    return landing;
  }

  const std::vector<CarriedForce>& plates_;
  const std::vector<bool>&may_land_, &may_stand_;
  double weight_, rate_;
  std::vector<double> zero_;
};

}  // namespace

double empty_reading(const CarriedForce& carried) {
  Eigen::ArrayXd vertical = carried.force.col(2);
  const auto low = vertical.begin() + vertical.size() / 20;
  std::nth_element(vertical.begin(), low, vertical.end());
  return *low;
}

std::optional<HardLanding> hardest_landing(const std::vector<CarriedForce>& plates,
                                           const std::vector<bool>& may_land,
                                           const std::vector<bool>& may_stand, double weight,
                                           double rate) {
  if (plates.empty()) return std::nullopt;
  return Landings(plates, may_land, may_stand, weight, rate).hardest();
}

}  // namespace moundwork::intake
