// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/definitions/flag_catalogue.h"

#include <algorithm>

namespace moundwork::definitions {
namespace {

constexpr std::string_view off_plate =
    "the centre of pressure came within `edge_margin` of the edge of its foot's plates; an edge "
    "between two of them is none";
constexpr std::string_view other_plate =
    "a plate that serves no foot carried more than a hundredth of the drive or of the landing; the "
    "detail says how much is left out";
constexpr std::string_view on_other_plate =
    "a foot stood on the other foot's plate, or both on one: what cannot be told apart is left out";
constexpr std::string_view landing_left_out =
    "something like a throw landed on a plate that a foot stood on already, so it was left out";
constexpr std::string_view missing_samples =
    "samples lost while the foot was used, told in one line a plate; beyond `longest_bridge` the "
    "numbers they touch are left out";
constexpr std::string_view clock_disagrees =
    "a plate's counter does not go with the computer's clock, or its samples with its counter, to "
    "0.2 % (and 20 ms over the recording's length): `tick_rate` or `sample_rate` is stated "
    "wrongly, or the clock is broken, and times, impulses and rates are as wrong";
constexpr std::string_view no_radar = "no reading belongs to the throw and no speed was given";
constexpr std::string_view implausible_speed =
    "a reading or a given speed outside of the limits: not used";
constexpr std::string_view moved_by_hand =
    "a person put an event elsewhere; the detail says which, from where to where, who, when and "
    "why";

constexpr std::array<FlagEntry, flag_count> flags{{
    {"foot_partly_off_plate", Concern::plate, std::nullopt, off_plate,
     "the centre of pressure came within {margin:.0f} mm of the {plate} plate's edge, part of the "
     "foot may be off it"},
    {"foot_partly_off_plate", Concern::plate, std::nullopt, off_plate,
     "the centre of pressure came within {margin:.0f} mm of the outer edge of the {plate} plates, "
     "part of the foot may be off them"},
    {"other_plate_loaded", Concern::plate, std::nullopt, other_plate,
     "{plate}, which serves no foot, carried {vertical:.1f} % of the "
     "drive's vertical "
     "impulse and {forward:.1f} % of its impulse toward home: both are left out"},
    {"other_plate_loaded", Concern::plate, std::nullopt, other_plate,
     "{plate}, which serves no foot, carried {braking:.1f} % of the "
     "braking impulse and "
     "{vertical:.1f} % of the vertical impulse after lead contact: both are left out"},
    {"foot_on_other_plate", Concern::plate, std::nullopt, on_other_plate,
     "the lead foot's plates carried {carried:.0f} % of the body weight while the lead foot was in "
     "the air, so part of the back foot stood there: its force and place cannot be told and are "
     "left out"},
    {"foot_on_other_plate", Concern::plate, std::nullopt, on_other_plate,
     "after the landing the back foot's plates braked with the pressure {ahead:.0f} cm ahead of "
     "the "
     "back foot, so part of the lead foot landed there: its braking cannot be told and is left "
     "out"},
    {"clipped_channel", Concern::plate, std::nullopt,
     "a channel reached its limit, so forces are too small there",
     "channel {channel} of the {plate} plate reached its limit at {time:.3f} s, so its forces are "
     "too small there"},
    {"channel_stuck", Concern::plate, std::nullopt,
     "a channel gave one and the same reading while the foot was used, as no instrument does that "
     "works: numbers that read the foot are left out",
     "channel {channel} of the {plate} plate stood at one reading from {time:.3f} s on for "
     "{length:.2f} s, so look at its cable and amplifier; numbers that read this foot are left "
     "out"},
    {"missing_samples", Concern::plate, std::nullopt, missing_samples,
     "the {plate} plate lost {lost:.0f} ms at {time:.3f} s"},
    {"missing_samples", Concern::plate, std::nullopt, missing_samples,
     "the {plate} plate lost samples {times} times, {lost:.0f} ms in all, first at {time:.3f} s, "
     "{longest:.0f} ms at the longest"},
    {"clock_disagrees", Concern::plate, std::nullopt, clock_disagrees,
     "the counter of '{device}' runs at {found:.1f} Hz by the computer's clock and should at "
     "{stated:.1f} Hz ({off:+.2f} %), so its times are not to be trusted; look at tick_rate in the "
     "station file"},
    {"clock_disagrees", Concern::plate, std::nullopt, clock_disagrees,
     "'{device}' samples at {found:.1f} Hz by its own counter and should at {stated:.1f} Hz "
     "({off:+.2f} %), so its times are not to be trusted; look at sample_rate in the station file"},
    {"implausible_force", Concern::plate, std::nullopt,
     "a plate shows more than 20 kN, which no athlete gives: a unit or calibration is wrong",
     "the {plate} plate shows {force:.3g} kN, which no athlete gives; check its units and "
     "calibration"},
    {"drifted_zero", Concern::plate, std::nullopt,
     "the zero moved more than `zero_drift_flag` since the session's first",
     "the {plate} plate's vertical zero moved {moved:.1f} N since the session's first"},
    {"zero_not_seen", Concern::plate, std::nullopt, "the plate was never seen unloaded",
     "the {plate} plate was never seen unloaded, its zero is taken as it came"},
    {"heavier_than_stated", Concern::plate, std::nullopt,
     "somewhere in the session a plate carried more than `heavy_stand` steadily for "
     "`heavy_stand_length`: the athlete's mass, or the plate's unit or calibration, is wrong, and "
     "numbers in body weights with it",
     "{plates} carried {carried:.1f} kg without moving at {time:.2f} s, and the athlete's "
     "mass is given as {stated:.1f} kg: the mass, or the plate's unit or calibration, is wrong"},
    {"no_radar", Concern::ball, std::nullopt, no_radar, "no radar reading belongs to this throw"},
    {"no_radar", Concern::ball, std::nullopt, no_radar,
     "two radar readings of different speed came for this throw, so none was taken"},
    {"no_radar", Concern::ball, std::nullopt, no_radar,
     "the recording has neither radar nor a given ball speed"},
    {"two_radar_readings", Concern::ball, std::nullopt,
     "a lower reading followed within 0.6 s, by no more than the air takes on the way "
     "home: the first was taken as the ball's speed and the second as its speed at the plate",
     "the radar gave {first} and then {second} for this throw; the first was taken"},
    {"implausible_speed", Concern::ball, std::nullopt, implausible_speed,
     "the radar's '{text}' is no pitch's speed and was not used"},
    {"implausible_speed", Concern::ball, std::nullopt, implausible_speed,
     "the given ball speed '{text}' is no pitch's and was not used"},
    {"release_disagreement", Concern::ball, Event::release,
     "the release candidates disagree; its uncertainty was widened",
     "the release candidates disagree (p {p:.1g}), so its uncertainty was widened"},
    {"estimated_release", Concern::ball, Event::release, "nothing measured the release",
     "nothing measured the release, it is the usual time after lead contact"},
    {"unusable_release", Concern::ball, Event::release,
     "a time or uncertainty of the release is no number or beyond reason, as in a damaged file: "
     "left out",
     "the release by {source} has a time or uncertainty that cannot be and was left out"},
    {"assumed_air", Concern::ball, std::nullopt, "temperature or pressure were not noted",
     "temperature or pressure were not noted"},
    {"no_foot_line", Concern::foot, std::nullopt, "no heel and toe, so no heel-toe position",
     "the foot's line is not known, so there is no heel-toe position"},
    {"estimated_foot_line", Concern::foot, std::nullopt,
     "heel and toe from the foot's length set against the rubber",
     "heel and toe are set from the foot's length against the rubber"},
    {"moved_by_hand", Concern::event, std::nullopt, moved_by_hand,
     "{event} moved from {found:.4f} s to {time:.4f} s by {who} on {when}: {why}"},
    {"moved_by_hand", Concern::event, std::nullopt, moved_by_hand,
     "{event} not found, put to {time:.4f} s by {who} on {when}: {why}"},
    {"events_out_of_order", Concern::event, std::nullopt,
     "a person put release before lead contact, or lead contact after release",
     "release lies before lead contact, so times and braking between them mean nothing"},
    {"move_not_used", Concern::event, std::nullopt,
     "a person put an event outside of the throw's recording, or one that does not exist",
     "{event} was put at {time:.4f} s by {who}, which is no event of this throw or lies outside of "
     "its recording"},
    {"no_quiet_set", Concern::event, std::nullopt,
     "no quiet set before the throw, so no body momentum",
     "the recording shows no quiet set before the throw, so there is no body momentum"},
    {"no_load_phase", Concern::event, std::nullopt,
     "the drive began before the back leg carried `back_leg_loaded_level`, so no means over load",
     "the drive began before the back leg carried {level:g} BW, so there are no means over load"},
    {"throw_not_measured", Concern::session, std::nullopt,
     "a throw could not be measured; the remark says why",
     "a throw at {time:.2f} s could not be measured: {why}"},
    {"contact_not_found", Concern::session, std::nullopt,
     "something like a throw has no clear lead contact",
     "something like a throw at {time:.2f} s has no clear lead contact and was left out"},
    {"ball_speed_not_used", Concern::session, std::nullopt,
     "one ball speed was given for a recording of none or of several throws",
     "one ball speed was given, but the recording holds not one throw"},
    {"landing_left_out", Concern::session, std::nullopt, landing_left_out,
     "something like a throw landed at {time:.2f} s on a lead plate that carried {carried:.0f} kg "
     "already, so a foot stood there: it cannot be measured and was left out"},
    {"landing_left_out", Concern::session, std::nullopt, landing_left_out,
     "something like a throw landed at {time:.2f} s on the back foot's plate, which carried "
     "{carried:.0f} kg already: with both feet on one plate it cannot be measured and was left "
     "out"},
    {"no_throw_found", Concern::session, std::nullopt,
     "nothing in the recording is a throw; where the athlete's mass may be why, the remark says so",
     "no throw was found: nothing drives from the back plate and lands braking on the lead plate "
     "as a throw does"},
    {"no_throw_found", Concern::session, std::nullopt,
     "nothing in the recording is a throw; where the athlete's mass may be why, the remark says so",
     "no throw was found, and the most that stood still on one plate is {carried:.1f} kg, at "
     "{time:.2f} s, where the athlete's mass is given as {stated:.1f} kg: a throw is told by "
     "forces in "
     "body weights, so correct the mass, or the plate's unit or calibration, if it is wrong"},
}};
static_assert(!flags.back().key.empty());  // a row for each name

constexpr std::array<std::string_view, 30> in_lists{
    // The numbers may all be wrong, or are not there.
    "heavier_than_stated", "clock_disagrees", "implausible_force", "no_throw_found",
    "throw_not_measured", "contact_not_found", "landing_left_out", "foot_on_other_plate",
    "channel_stuck",
    // Some are wrong, or are not there.
    "clipped_channel", "zero_not_seen", "missing_samples", "events_out_of_order",
    "unusable_release", "estimated_release", "other_plate_loaded", "foot_partly_off_plate",
    "no_radar", "no_quiet_set", "no_load_phase", "implausible_speed", "ball_speed_not_used",
    "release_disagreement", "two_radar_readings", "drifted_zero", "move_not_used",
    // Known and allowed for.
    "moved_by_hand", "no_foot_line", "estimated_foot_line", "assumed_air"};

}  // namespace

std::size_t place_in_lists(std::string_view key) {
  const auto found = std::find(in_lists.begin(), in_lists.end(), key);
  return found == in_lists.end() ? 0 : static_cast<std::size_t>(found - in_lists.begin()) + 1;
}

const FlagEntry& entry(Flag flag) { return flags.at(static_cast<std::size_t>(flag)); }

const FlagEntry* find_flag(std::string_view key) {
  const auto found = std::find_if(flags.begin(), flags.end(),
                                  [key](const FlagEntry& one) { return one.key == key; });
  return found == flags.end() ? nullptr : &*found;
}

}  // namespace moundwork::definitions
