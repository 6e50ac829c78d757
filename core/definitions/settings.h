// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <nlohmann/json_fwd.hpp>

namespace moundwork::definitions {

/// Every threshold of the analysis with its default and reason. SI units; BW = body weight.
struct Settings {
  // --- Filters -------------------------------------------------------------------------------
  /// Low-pass of forces and moments: common cut-off of both passes, Hz (Winter's correction).
  double low_pass = 50.0;
  /// Lighter low-pass for the onset and end of a contact: 50 Hz smears a steep onset by several
  /// milliseconds, no filter lets noise cross the threshold of a light athlete. Hz.
  double contact_low_pass = 150.0;

  /// For the path and sway of the centre of pressure on one leg: sway lies below 10 Hz (common
  /// practice), and a path adds up all noise above it. Hz.
  double sway_low_pass = 10.0;

  // --- Events --------------------------------------------------------------------------------
  double back_leg_loaded_level = 0.9;  ///< BW
  double back_leg_loaded_hold = 0.05;  ///< s
  /// Of the drive peak. Pitchers lean early: 10 % is passed long before the drive.
  double drive_start_level = 0.25;
  double contact_level = 0.05;   ///< BW; 1 to 10 % are in use (common practice)
  double contact_hold = 0.01;    ///< s
  double foot_off_level = 0.05;  ///< BW
  double after_contact = 0.4;    ///< s in which the peaks and the back foot's leaving are sought
  double rate_fit = 0.02;        ///< s, length of the line fit for rates

  /// s; standard uncertainty of an event put by hand, where none is stated: a marker is put to half
  /// a sample of the usual 1 kHz.
  double moved_event_u = 0.0005;

  // --- Centre of pressure ----------------------------------------------------------------------
  /// N; below it the centre of pressure is noise (20 to 50 N is common practice).
  double least_cop_force = 50.0;
  /// N; the turning moment asks the centre of pressure down to here, since even a light foot pushes
  /// sideways a stride away from the other, and an error of centimetres is small beside that arm.
  /// Below it, until the foot has left the ground, the last place told stands in.
  double least_turning_force = 10.0;
  double heel_side_limit = 50.0;  ///< % of the foot: below it drive counts as from the heel
  /// m; a centre of pressure nearer to a plate's edge means that part of the foot may be off it:
  /// half the breadth of a foot (0.055 of height) less what stays under load.
  double edge_margin = 0.02;

  // --- Quiet set -------------------------------------------------------------------------------
  double quiet_length = 0.3;     ///< s
  double quiet_range = 0.06;     ///< BW, of the vertical force within quiet_length
  double quiet_greatest = 0.85;  ///< BW; a set on both feet, not a balance on one
  double quiet_least = 0.2;      ///< BW

  // --- What counts as a throw ------------------------------------------------------------------
  /// BW. Walking over the plates drives and brakes with about 0.2 BW (common practice); the least
  /// group means in print for throwing are 0.35 BW drive and 0.72 BW braking (MacWilliams 1998).
  double least_drive = 0.2;
  double least_braking = 0.32;
  double least_vertical = 0.8;       ///< BW, lead foot
  double least_back_vertical = 0.7;  ///< BW, back foot in drive_search before contact
  double drive_search = 1.2;         ///< s before contact
  /// s the back foot must have carried weight without a break before contact: a pitcher stands on
  /// it, a runner lands on it.
  double least_back_stance = 0.5;
  double unloaded_before = 0.1;  ///< s the lead foot is off its plate before contact
  double between_throws = 1.5;   ///< s

  // --- Does the stated mass fit? ---------------------------------------------------------------
  /// BW. Nobody stands still with more than the body's weight on one plate; a plate is a percent
  /// off and a mass typed from memory two or three.
  double heavy_stand = 1.05;
  double heavy_stand_length = 0.5;  ///< s; no push or landing is steady so long
  /// Of the load itself, least to greatest within heavy_stand_length: one leg sways by 0.1.
  double heavy_stand_range = 0.12;

  // --- Window cut out around a throw -----------------------------------------------------------
  double window_before = 8.0;  ///< s before contact
  double window_after = 1.2;   ///< s after contact

  // --- Zero ------------------------------------------------------------------------------------
  double zero_stretch = 0.15;     ///< s of unloaded plate that give a zero
  double zero_range = 8.0;        ///< N, of 5 ms means within the stretch
  double zero_limit = 60.0;       ///< N, farthest a zero can be from 0
  double zero_step = 15.0;        ///< N, farthest from the last zero
  double zero_drift_flag = 10.0;  ///< N from the session's first zero: flagged
  /// N of standard uncertainty per square root of a second since the zero was seen (random walk:
  /// about 3 N in an hour, a common data-sheet figure).
  double zero_walk = 0.05;
  /// N, standard uncertainty of the zero where no unloaded stretch was seen.
  double zero_unseen = 5.0;

  // --- Samples ---------------------------------------------------------------------------------
  /// s; a shorter gap is bridged by a line and flagged, a longer one takes the numbers it touches.
  double longest_bridge = 0.01;

  // --- Ball ------------------------------------------------------------------------------------
  double least_ball_speed = 15.0;     ///< m/s, else flagged and never used silently
  double greatest_ball_speed = 50.0;  ///< m/s
  /// s after contact; 0.145 to 0.150 s in adults (from memory of Fleisig 1999). Only used, flagged,
  /// where nothing measured the release.
  double usual_contact_to_release = 0.145;
  double usual_contact_to_release_u = 0.02;

  // --- Where a recording states no accuracy of its own -----------------------------------------
  double assumed_gain_u = 0.005;       ///< relative; common data-sheet figures
  double assumed_crosstalk_u = 0.005;  ///< N per N vertical
  double assumed_zero_u = 1.0;         ///< N
  double assumed_cop_u = 0.003;        ///< m
};

/// All settings by name, for storing with results; unknown names in `from_json` throw.
void to_json(nlohmann::json& json, const Settings& settings);
void from_json(const nlohmann::json& json, Settings& settings);

}  // namespace moundwork::definitions
