// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/pitch_motion.h"

#include <algorithm>
#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <catch2/catch.hpp>
#include <cmath>

#include "core/base/units.h"

using namespace moundwork;
using namespace moundwork::model;

namespace {

struct Drawn {
  ModelAthlete athlete;
  DrawnPitch pitch;
};

Drawn draw(std::uint64_t seed, double touch = 0.0) {
  Random random(seed, 0);
  Drawn drawn{draw_athlete(random, 1), {}};
  drawn.pitch = draw_pitch(drawn.athlete, place_back_foot(drawn.athlete, 0.04), touch, 0.0, random);
  return drawn;
}

// Newton's second law for the centre of mass.
Eigen::Vector3d acceleration(const Pitch& pitch, double t) {
  Eigen::Vector3d force(0.0, 0.0, -pitch.mass * standard_gravity);
  for (const Contact* contact : pitch.contacts()) force += contact->load(t).force;
  return force / pitch.mass;
}

// Of the centre of mass since it rested in the set, by another quadrature than the model's own: the
// integrals from `begin` to t of a(x) and of (t - x) a(x).
struct Moved {
  Eigen::Vector3d velocity = Eigen::Vector3d::Zero();
  Eigen::Vector3d displacement = Eigen::Vector3d::Zero();
};

Moved moved(const Pitch& pitch, double t) {
  Moved sum;
  constexpr double piece = 0.05;
  for (double from = pitch.begin; from < t - 1e-12; from += piece)
    for (Eigen::Index axis = 0; axis < 3; ++axis) {
      const auto integral = [&](const auto& f) {
        return boost::math::quadrature::gauss_kronrod<double, 31>::integrate(
            f, from, std::min(from + piece, t), 8, 1e-11);
      };
      sum.velocity[axis] += integral([&](double x) { return acceleration(pitch, x)[axis]; });
      sum.displacement[axis] +=
          integral([&](double x) { return (t - x) * acceleration(pitch, x)[axis]; });
    }
  return sum;
}

}  // namespace

TEST_CASE("a pitch obeys Newton's law and ends at rest where it should") {
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    const auto [athlete, drawn] = draw(seed);
    const Pitch& pitch = drawn.pitch;
    CHECK(moved(pitch, pitch.quiet).velocity.norm() < 0.01);  // tremor alone
    const Moved end = moved(pitch, pitch.standing);
    CHECK(std::abs(end.velocity.z()) < 1e-6);
    CHECK(std::abs(end.velocity.x()) < 1e-6);
    CHECK(std::abs(end.velocity.y()) < 1e-6);
    CHECK(end.displacement.z() ==
          Approx(-(drawn.plan.target_drop + drawn.plan.stride / 12.0)).margin(1e-6));
    // The body has come most of the way to its lead foot and not past the landing foot.
    CHECK(end.displacement.x() > 0.3 * drawn.plan.stride);
    CHECK(end.displacement.x() < 1.3 * drawn.plan.stride);
  }
}

TEST_CASE("standing still before and after, the feet together carry the weight") {
  const auto [athlete, drawn] = draw(3);
  const Pitch& pitch = drawn.pitch;
  for (const double t : {pitch.begin, pitch.quiet, pitch.end + 1.0}) {
    const Eigen::Vector3d a = acceleration(pitch, t);
    CHECK(a.norm() < 0.12);  // tremor: 0.4 % of body weight for each of three tones
  }
  CHECK(pitch.back.load(pitch.begin).force.norm() == 0.0);
  CHECK(pitch.lead.load(pitch.touch - 1e-6).force.norm() == 0.0);
  CHECK(pitch.lead.load(pitch.end).force.norm() == 0.0);
}

TEST_CASE("the ground beside the plates gives no fore-aft force before release") {
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    const auto [athlete, drawn] = draw(seed);
    const Pitch& pitch = drawn.pitch;
    for (double t = pitch.begin; t <= pitch.release; t += 0.01) {
      REQUIRE(pitch.set.load(t).force.x() == 0.0);
      REQUIRE(pitch.landing.load(t).force.x() == 0.0);
    }
  }
}

TEST_CASE("forces are smooth: their second derivative has no jump") {
  const auto [athlete, drawn] = draw(2);
  const Pitch& pitch = drawn.pitch;
  const auto jump = [&](double step) {
    double greatest = 0.0;
    for (const Contact* contact : {&pitch.back, &pitch.lead})
      for (std::size_t axis = 0; axis < 3; ++axis) {
        const auto f = [&](double t) {
          return contact->load(t).force[static_cast<Eigen::Index>(axis)] / pitch.mass;
        };
        double before = 0.0;
        for (double t = pitch.begin; t < pitch.end; t += step) {
          const double second = (f(t + step) - 2.0 * f(t) + f(t - step)) / (step * step);
          greatest = std::max(greatest, std::abs(second - before));
          before = second;
        }
      }
    return greatest;
  };
  // A jump would stay as the step shrinks; a continuous course shrinks with it.
  const double coarse = jump(4e-4);
  const double fine = jump(1e-4);
  CHECK(fine < 0.4 * coarse);
}

TEST_CASE("a left-hander's pitch is the mirror of a right-hander's") {
  Random random(9, 0);
  ModelAthlete right = draw_athlete(random, 1);
  right.hand = session::Hand::right;
  ModelAthlete left = right;
  left.hand = session::Hand::left;
  const FootPlace right_foot = place_back_foot(right, 0.05);
  const FootPlace left_foot = place_back_foot(left, 0.05);
  CHECK(right_foot.toe.y() < right_foot.heel.y());  // toward -y, the design's frame
  CHECK(left_foot.toe.y() > left_foot.heel.y());
  CHECK(right_foot.toe.x() == Approx(left_foot.toe.x()));
  const auto one = draw_pitch(right, right_foot, 0.0, 0.0, random);
  std::optional<Pitch> a;
  std::optional<Pitch> b;
  for (std::uint64_t seed = 0; seed < 50 && !(a && b); ++seed) {
    a = build_pitch(one.plan, right, right_foot, 0.0, seed);
    b = build_pitch(one.plan, left, left_foot, 0.0, seed);
  }
  REQUIRE(a);
  REQUIRE(b);
  for (double t = a->begin; t < a->end; t += 0.01)
    for (const auto& [r, l] : {std::pair(&a->back, &b->back), std::pair(&a->lead, &b->lead)}) {
      const FootLoad p = r->load(t);
      const FootLoad q = l->load(t);
      REQUIRE(p.force.x() == Approx(q.force.x()).margin(1e-9));
      REQUIRE(p.force.y() == Approx(-q.force.y()).margin(1e-9));
      REQUIRE(p.force.z() == Approx(q.force.z()).margin(1e-9));
      REQUIRE(p.point.x() == Approx(q.point.x()).margin(1e-12));
      REQUIRE(p.point.y() == Approx(-q.point.y()).margin(1e-12));
      REQUIRE(p.free_moment == Approx(-q.free_moment).margin(1e-12));
    }
}

TEST_CASE("a pitch made later is the same pitch shifted in time") {
  Random random(4, 0);
  const ModelAthlete athlete = draw_athlete(random, 1);
  const FootPlace foot = place_back_foot(athlete, 0.0);
  const auto drawn = draw_pitch(athlete, foot, 0.0, 0.0, random);
  // Tremor runs on the session's own time, so the plans agree and not every sample.
  std::optional<Pitch> later;
  for (std::uint64_t seed = 0; seed < 50 && !later; ++seed)
    later = build_pitch(drawn.plan, athlete, foot, 100.0, seed);
  REQUIRE(later);
  CHECK(later->release - later->touch == Approx(drawn.pitch.release - drawn.pitch.touch));
  CHECK(later->touch == 100.0);
  CHECK(later->lead.load(100.06).force.z() ==
        Approx(drawn.pitch.lead.load(0.06).force.z()).epsilon(1e-6));
}
