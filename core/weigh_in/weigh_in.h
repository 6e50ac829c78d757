// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <span>
#include <string>
#include <vector>

#include "core/base/measured.h"
#include "core/base/result.h"
#include "core/definitions/settings.h"
#include "core/foot/window.h"
#include "core/session/session.h"

/// Body mass from a quiet stand, and the back foot's line from a stance on the heel and one on the
/// toes: what an athlete's session takes from the minutes before the first throw.
namespace moundwork::weigh_in {

/// What one plate carried while somebody stood, evenly sampled, tared, lab frame.
struct Stand {
  session::PlateRole plate = session::PlateRole::back;
  double start = 0.0;                           ///< session time of the first sample, s
  double rate = 0.0;                            ///< samples a second
  Eigen::ArrayXd vertical;                      ///< N (samples)
  Eigen::Array<double, Eigen::Dynamic, 3> cop;  ///< m (samples x 3); NaN where hardly loaded
  double gain_u = 0.0;                          ///< relative, of the plate's calibration
  double cop_u = 0.0;                           ///< m, of the plate's centre of pressure, each axis
  double zero_u = 0.0;                          ///< N, what taring left
};

/// Thresholds, each settable; forces relative to the weight found.
struct WeighInSettings {
  double length = 2.0;          ///< s of quiet standing that are wanted
  double least_weight = 150.0;  ///< N; below it nobody stands there (a light child weighs 200 N)
  /// Scatter of 20 ms means within `length`. Quiet standing keeps 0.3 to 0.5 %, heartbeat
  /// included (common practice); somebody who shifts or talks does not keep 1 %.
  double force_scatter = 0.01;
  /// m, scatter of the centre of pressure in a stance, each axis. On two feet it keeps 5 mm, on
  /// heel or toes three times that (common practice).
  double cop_scatter = 0.015;
  /// Share of the body weight that the back foot must carry in a stance: less is a foot put down.
  double least_stance_load = 0.3;
  double least_foot = 0.08;     ///< m between the stances; less is the same stance twice
  double greatest_foot = 0.40;  ///< m; more is a foot that was moved
  /// m, how well a person gets the weight to the same end of the foot again (common practice).
  double stance_u = 0.005;
  /// Local gravity lies between 9.780 and 9.832 m/s^2: half that range about standard gravity as a
  /// rectangular distribution, relative.
  double gravity_u = 0.0015;
};

/// Mass (kg) of somebody who stood still on one plate, or with a foot on each of two: the quietest
/// `length` of the time that all of them cover. Weight is divided by standard gravity, so that a
/// force in body weights is right wherever it was weighed. u has gains, zeros, the scatter that is
/// left and local gravity. Fails when nobody stood there, not long enough or not quietly.
[[nodiscard]] Result<Measured> body_mass(std::span<const Stand> stands,
                                         const WeighInSettings& settings = {});

/// Whether a weigh-in is so far from the mass that a list has (kg) that one of the two is wrong:
/// more than 5 %, where clothes and a day make one or two. False where the list has none.
[[nodiscard]] bool differs_from_list(const Measured& weighed, double listed);

/// Where the weight of a stance rested.
struct StancePoint {
  Eigen::Vector3d point = Eigen::Vector3d::Zero();  ///< lab, m
  double u = 0.0;                                   ///< m, each horizontal coordinate
};

/// Mean centre of pressure over the quietest `length` of a stance, on as many plates as the foot
/// loads. `what` names
/// the stance in messages ("heel"); `mass` (kg) tells whether the foot carried enough.
[[nodiscard]] Result<StancePoint> stance_point(std::span<const Stand> stands, double mass,
                                               const std::string& what,
                                               const WeighInSettings& settings = {});
/// The same of the stands on the back foot's plates; fails where nothing came from it.
[[nodiscard]] Result<StancePoint> back_stance(std::span<const Stand> stands, double mass,
                                              const std::string& what);

/// The foot's line from both stances: 0 % where the weight rests on the heel, 100 % where it rests
/// on the toes. Fails when the two are not a foot apart, or lie the wrong way round for the hand.
[[nodiscard]] Result<session::FootLine> foot_line(const StancePoint& heel, const StancePoint& toe,
                                                  session::Hand hand,
                                                  const WeighInSettings& settings = {});

/// Takes over what a plate's calibration states, or the settings' assumption where it states
/// nothing.
void set_accuracy(Stand& stand, const session::PlateAccuracy& stated,
                  const definitions::Settings& settings);

/// A stand out of a plate's window (core/foot/window.h).
[[nodiscard]] Stand stand_of(const foot::PlateWindow& window, session::PlateRole plate,
                             const definitions::Settings& settings);

/// What every plate of a recording carried over a span of session time, tared on its unloaded
/// plates. Plates that delivered nothing in the span are left out. Fails when none did, or when a
/// plate was never seen unloaded.
[[nodiscard]] Result<std::vector<Stand>> stands_of(const session::RowSource& reader,
                                                   foot::TimeSpan span,
                                                   const definitions::Settings& settings = {});

}  // namespace moundwork::weigh_in
