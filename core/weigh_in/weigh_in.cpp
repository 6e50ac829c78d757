// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/weigh_in/weigh_in.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "core/base/units.h"
#include "core/foot/zero.h"
#include "core/plate/wrench.h"
#include "core/session/plate_name.h"
#include "core/session/plate_signal.h"

namespace moundwork::weigh_in {
namespace {

// Short beside every movement of a standing body, long beside a sample: all plates, whatever their
// rates, meet on this grid.
constexpr double bin = 0.02;  // s
constexpr double hop = 0.1;   // s between the stretches that are tried

/// Means of 20 ms over a common time: force of all plates together and where it rested.
struct Binned {
  Eigen::ArrayXd force;                         // N, sum of the plates
  Eigen::ArrayXXd each;                         // N (bins x plates)
  Eigen::Array<double, Eigen::Dynamic, 2> cop;  // m, lab x and y; NaN where hardly loaded
  Eigen::ArrayXd height;                        // m, lab z
};

double end_of(const Stand& stand) {
  return stand.start + static_cast<double>(stand.vertical.size()) / stand.rate;
}

Binned bin_together(std::span<const Stand> stands) {
  double begin = -std::numeric_limits<double>::infinity();
  double end = std::numeric_limits<double>::infinity();
  for (const Stand& stand : stands) {
    begin = std::max(begin, stand.start);
    end = std::min(end, end_of(stand));
  }
  const auto bins = static_cast<Eigen::Index>(std::max(0.0, std::floor((end - begin) / bin)));
  Binned binned;
  binned.each = Eigen::ArrayXXd::Zero(bins, static_cast<Eigen::Index>(stands.size()));
  // Sums of force times place, and of the forces, over the plates that are loaded.
  Eigen::Array<double, Eigen::Dynamic, 3> moments = Eigen::ArrayX3d::Zero(bins, 3);
  Eigen::ArrayXd placed = Eigen::ArrayXd::Zero(bins);
  for (std::size_t p = 0; p < stands.size(); ++p) {
    const Stand& stand = stands[p];
    const auto sample = [&](Eigen::Index b) {
      const double time = begin + static_cast<double>(b) * bin;
      const auto index = static_cast<Eigen::Index>(std::lround((time - stand.start) * stand.rate));
      return std::clamp<Eigen::Index>(index, 0, stand.vertical.size() - 1);
    };
    for (Eigen::Index b = 0; b < bins; ++b) {
      const Eigen::Index first = sample(b);
      const Eigen::Index count = std::max<Eigen::Index>(1, sample(b + 1) - first);
      binned.each(b, static_cast<Eigen::Index>(p)) = stand.vertical.segment(first, count).mean();
      const Eigen::Array<double, 1, 3> point = stand.cop.middleRows(first, count).colwise().mean();
      if (point.isNaN().any()) continue;
      const double force = binned.each(b, static_cast<Eigen::Index>(p));
      moments.row(b) += force * point;
      placed(b) += force;
    }
  }
  const Eigen::ArrayX3d places = moments.colwise() / placed;  // NaN where nothing is placed
  binned.cop = places.leftCols<2>();
  binned.height = places.col(2);
  binned.force = binned.each.rowwise().sum();
  return binned;
}

double deviation(const Eigen::Ref<const Eigen::ArrayXd>& values) {
  return std::sqrt((values - values.mean()).square().mean());
}

/// Standard uncertainty of a mean whose values hang together: of the means of eight parts.
double u_of_mean(const Eigen::Ref<const Eigen::ArrayXd>& values) {
  constexpr Eigen::Index parts = 8;
  const Eigen::Index length = values.size() / parts;
  if (length < 1) return deviation(values);
  Eigen::ArrayXd means(parts);
  for (Eigen::Index i = 0; i < parts; ++i) means(i) = values.segment(i * length, length).mean();
  return std::sqrt((means - means.mean()).square().sum() /
                   static_cast<double>(parts * (parts - 1)));
}

/// First bin of the stretch of `length` bins that `scatter` finds quietest, and that scatter.
struct Quietest {
  Eigen::Index first = 0;
  double scatter = std::numeric_limits<double>::infinity();
};

template <class Scatter>
Quietest quietest(Eigen::Index bins, Eigen::Index length, Scatter scatter) {
  Quietest best;
  const auto step = static_cast<Eigen::Index>(std::lround(hop / bin));
  for (Eigen::Index first = 0; first + length <= bins; first += step)
    if (const double found = scatter(first); found < best.scatter) best = {first, found};
  return best;
}

Eigen::Index bins_of(double length) { return static_cast<Eigen::Index>(std::lround(length / bin)); }

Failure too_short(const std::string& where, double length, const WeighInSettings& settings) {
  return fail(where,
              fmt::format("{:.1f} s came, and {:.1f} s of standing still are needed", length,
                          settings.length),
              "stand longer");
}

}  // namespace

Result<Measured> body_mass(std::span<const Stand> stands, const WeighInSettings& settings) {
  const std::string where = "weigh-in";
  if (stands.empty()) return fail(where, "no plate delivered anything", "check the station first");
  const Binned binned = bin_together(stands);
  const Eigen::Index bins = binned.force.size();
  const Eigen::Index length = bins_of(settings.length);
  if (bins < length) return too_short(where, static_cast<double>(bins) * bin, settings);
  // Relative to what is on the plates, so that an empty plate is not the quietest person.
  const Quietest best = quietest(bins, length, [&](Eigen::Index first) {
    const auto piece = binned.force.segment(first, length);
    const double mean = piece.mean();
    return mean < settings.least_weight ? std::numeric_limits<double>::infinity()
                                        : deviation(piece) / mean;
  });
  if (std::isinf(best.scatter))
    return fail(where,
                fmt::format("nobody stood on the plates for {:.1f} s: the most was {:.0f} N",
                            settings.length, binned.force.maxCoeff()),
                "step on and stand still");
  if (best.scatter > settings.force_scatter)
    return fail(where,
                fmt::format("the stand was not quiet: the force moved by {:.1f} % and {:.1f} % is "
                            "the most for a weight",
                            100.0 * best.scatter, 100.0 * settings.force_scatter),
                "stand still with both feet on the plates, arms hanging, and weigh again");
  const double weight = binned.force.segment(best.first, length).mean();
  double variance = std::pow(u_of_mean(binned.force.segment(best.first, length)), 2);
  for (std::size_t p = 0; p < stands.size(); ++p) {
    const double share =
        binned.each.col(static_cast<Eigen::Index>(p)).segment(best.first, length).mean();
    variance += std::pow(stands[p].gain_u * share, 2) + std::pow(stands[p].zero_u, 2);
  }
  variance += std::pow(settings.gravity_u * weight, 2);
  return Measured{weight / standard_gravity, std::sqrt(variance) / standard_gravity};
}

bool differs_from_list(const Measured& weighed, double listed) {
  constexpr double most = 0.05;
  return std::abs(weighed.value - listed) > most * listed;
}

Result<StancePoint> stance_point(std::span<const Stand> stands, double mass,
                                 const std::string& what, const WeighInSettings& settings) {
  const std::string where = what + " stance";
  const Binned binned = bin_together(stands);
  const Eigen::Index bins = binned.force.size();
  const Eigen::Index length = bins_of(settings.length);
  if (bins < length) return too_short(where, static_cast<double>(bins) * bin, settings);
  const double least = settings.least_stance_load * mass * standard_gravity;
  const auto scatter = [&](Eigen::Index first) {
    if (binned.force.segment(first, length).minCoeff() < least)
      return std::numeric_limits<double>::infinity();
    const auto piece = binned.cop.middleRows(first, length);
    const double found = std::max(deviation(piece.col(0)), deviation(piece.col(1)));
    return std::isfinite(found) ? found : std::numeric_limits<double>::infinity();
  };
  const Quietest best = quietest(bins, length, scatter);
  if (std::isinf(best.scatter))
    return fail(where,
                fmt::format("the {} did not carry {:.0f} % of the body weight for {:.1f} s",
                            session::plate_name(stands.front().plate),
                            100.0 * settings.least_stance_load, settings.length),
                "stand on the back foot where it lies for a throw");
  if (best.scatter > settings.cop_scatter)
    return fail(where,
                fmt::format("was not quiet: the centre of pressure moved by {:.0f} mm and {:.0f} "
                            "mm is the most",
                            1000.0 * best.scatter, 1000.0 * settings.cop_scatter),
                "hold on to somebody and stand again");
  const auto piece = binned.cop.middleRows(best.first, length);
  StancePoint point;
  point.point = {piece.col(0).mean(), piece.col(1).mean(),
                 binned.height.segment(best.first, length).mean()};
  // A zero left in the plate moves the point by zero / force times the arm to the middle, at most
  // some 0.3 m.
  constexpr double arm = 0.3;
  const double force = binned.force.segment(best.first, length).mean();
  double cop_u = 0.0, zero_u = 0.0;
  for (const Stand& stand : stands) {
    cop_u = std::max(cop_u, stand.cop_u);
    zero_u = std::hypot(zero_u, stand.zero_u);
  }
  point.u = std::hypot(std::hypot(cop_u, settings.stance_u), arm * zero_u / force,
                       std::max(u_of_mean(piece.col(0)), u_of_mean(piece.col(1))));
  return point;
}

Result<StancePoint> back_stance(std::span<const Stand> stands, double mass,
                                const std::string& what) {
  std::vector<Stand> back;
  for (const Stand& stand : stands)
    if (stand.plate == session::PlateRole::back) back.push_back(stand);
  if (!back.empty()) return stance_point(back, mass, what);
  return fail(what + " stance", "nothing came from the back plate",
              "check that it is on, or keep the mass alone");
}

Result<session::FootLine> foot_line(const StancePoint& heel, const StancePoint& toe,
                                    session::Hand hand, const WeighInSettings& settings) {
  const std::string where = "weigh-in";
  const Eigen::Vector3d along = toe.point - heel.point;
  const double length = along.head<2>().norm();
  if (length < settings.least_foot)
    return fail(where,
                fmt::format("heel and toe stance are {:.0f} mm apart, less than the {:.0f} mm of a "
                            "small foot",
                            1000.0 * length, 1000.0 * settings.least_foot),
                "load the heel with the toes up, then the toes with the heel up");
  if (length > settings.greatest_foot)
    return fail(where,
                fmt::format("heel and toe stance are {:.0f} mm apart, more than a foot is long",
                            1000.0 * length),
                "leave the foot where it is between the two stances");
  const double toe_side = hand == session::Hand::right ? -1.0 : 1.0;
  if (along.y() * toe_side < 0.0)
    return fail(where,
                fmt::format("the toe lies on the heel's {} side, which is the other way round for "
                            "a {}-hander's back foot",
                            along.y() > 0.0 ? "first-base" : "third-base",
                            hand == session::Hand::right ? "right" : "left"),
                "load the heel first, then the toes, or correct the throwing hand");
  return session::FootLine{heel.point, toe.point, std::max(heel.u, toe.u),
                           session::FootLineSource::stances};
}

void set_accuracy(Stand& stand, const session::PlateAccuracy& stated,
                  const definitions::Settings& settings) {
  const auto either = [](double value, double assumed) { return value > 0.0 ? value : assumed; };
  stand.gain_u = either(stated.gain, settings.assumed_gain_u);
  stand.cop_u = either(stated.cop, settings.assumed_cop_u);
  stand.zero_u = either(stated.zero_force, settings.assumed_zero_u);
}

Stand stand_of(const foot::PlateWindow& window, session::PlateRole plate,
               const definitions::Settings& settings) {
  Stand stand;
  stand.plate = plate;
  stand.start = window.start;
  stand.rate = 1.0 / window.step;
  stand.vertical = window.wrench.col(2);
  stand.cop = plate::centre_of_pressure(window.wrench, window.frame, settings.least_cop_force);
  set_accuracy(stand, window.accuracy, settings);
  stand.zero_u = window.zero_u;
  return stand;
}

Result<std::vector<Stand>> stands_of(const session::RowSource& reader, foot::TimeSpan span,
                                     const definitions::Settings& settings) {
  std::vector<Stand> stands;
  for (const session::Plate& plate : reader.session().plates) {
    if (reader.sample_count(plate.device) == 0) continue;
    const auto clock = session::clock_of(reader, plate.device);
    if (!clock) return tl::make_unexpected(clock.error());
    const auto trace = foot::trace_load(reader, plate, *clock, clock->begin(), clock->end(), {});
    if (!trace) return tl::make_unexpected(trace.error());
    const auto zero =
        foot::nearest_stretch(foot::unloaded_stretches(*trace, settings), span.begin, span.end);
    if (!zero)
      return fail(session::plate_name(plate.role), "was never seen empty, so it has no zero",
                  "begin with everybody off the plates");
    if (clock->row_at(session_time(span.end)) - clock->row_at(session_time(span.begin)) < 3)
      continue;
    const auto window = foot::cut_window(reader, plate, *clock, span, zero, settings);
    if (!window) return tl::make_unexpected(window.error());
    stands.push_back(stand_of(*window, plate.role, settings));
  }
  if (stands.empty())
    return fail(reader.name(), "no plate delivered anything",
                "check that they are on and their ports in the station file");
  return stands;
}

}  // namespace moundwork::weigh_in
