// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/definitions/catalogue.h"

namespace moundwork::definitions {
namespace {

constexpr std::array<Entry, event_count> events{{
    {"back_leg_loaded", "s",
     "first time after the quiet set that the vertical force under the back foot stays at or above "
     "back_leg_loaded_level (default 0.9 BW) for back_leg_loaded_hold (default 50 ms)",
     Foot::back},
    {"drive_start", "s",
     "last upward crossing of drive_start_level (default 25 %) of the drive peak by the x force "
     "under the back foot before it",
     Foot::back},
    {"drive_peak", "s",
     "greatest x force under the back foot within drive_search (default 1.2 s) before lead contact",
     Foot::back},
    {"lead_contact", "s",
     "vertical force under the lead foot reaches contact_level (default 5 % BW) and stays there "
     "for "
     "contact_hold (default 10 ms)",
     Foot::lead},
    {"back_foot_off", "s",
     "last downward crossing of foot_off_level (default 5 % BW) by the vertical force under the "
     "back "
     "foot, up to after_contact (default 0.4 s) after lead contact",
     Foot::back},
    {"braking_peak", "s",
     "least x force under the lead foot within after_contact (default 0.4 s) after lead contact",
     Foot::lead},
    {"vertical_peak", "s",
     "greatest vertical force under the lead foot within after_contact (default 0.4 s) after lead "
     "contact",
     Foot::lead},
    {"release", "s", "the ball leaves the hand"},
}};

constexpr std::array<Entry, quantity_count> quantities{{
    {"ball_speed", "m/s", "ball speed at release, corrected for the radar's angle and for drag"},
    {"drive_peak_force", "N", "x force under the back foot at the drive peak", Foot::back},
    {"drive_peak_force_bw", "BW", "drive peak force divided by body weight", Foot::back},
    {"drive_impulse", "N s",
     "integral of the positive x force under the back foot from drive start to lead contact",
     Foot::back},
    {"drive_impulse_per_mass", "m/s", "drive impulse over body mass", Foot::back},
    {"drive_impulse_to_foot_off", "N s",
     "integral of the positive x force under the back foot from drive start to back foot off",
     Foot::back},
    {"drive_impulse_to_foot_off_per_mass", "m/s", "drive impulse to foot off over body mass",
     Foot::back},
    {"heel_toe_at_drive_peak", "%",
     "heel-toe position (0 heel, 100 toe) of the centre of pressure at the drive peak", Foot::back},
    {"heel_toe_load_mean", "%",
     "mean heel-toe position weighted by vertical force from back-leg loaded to drive start",
     Foot::back},
    {"heel_toe_drive_mean", "%",
     "mean heel-toe position weighted by vertical force from drive start to drive peak",
     Foot::back},
    {"heel_toe_travel", "%", "heel-toe position at the drive peak minus the mean over load",
     Foot::back},
    {"heel_drive_share", "1",
     "share of the drive impulse to lead contact delivered with the heel-toe position below "
     "heel_side_limit (default 50 %)",
     Foot::back},
    {"load_direction", "rad",
     "angle of the horizontal force under the back foot at the drive peak from the throwing line, "
     "positive toward the toe side",
     Foot::back},
    {"load_tilt", "rad", "angle of the force under the back foot at the drive peak from vertical",
     Foot::back},
    {"braking_peak_force", "N", "minus the x force under the lead foot at the braking peak",
     Foot::lead},
    {"braking_peak_force_bw", "BW", "braking peak force divided by body weight", Foot::lead},
    {"vertical_peak_force", "N", "vertical force under the lead foot at the vertical peak",
     Foot::lead},
    {"vertical_peak_force_bw", "BW", "vertical peak force divided by body weight", Foot::lead},
    {"braking_impulse", "N s",
     "minus the integral of the x force under the lead foot from lead contact to release",
     Foot::lead},
    {"braking_impulse_per_mass", "m/s", "braking impulse over body mass", Foot::lead},
    {"braking_impulse_to_peak", "N s",
     "minus the integral of the x force under the lead foot from lead contact to the braking peak",
     Foot::lead, Event::braking_peak},
    {"braking_impulse_to_peak_per_mass", "m/s", "braking impulse to the peak over body mass",
     Foot::lead, Event::braking_peak},
    {"braking_impulse_whole", "N s",
     "minus the integral of the x force under the lead foot from lead contact to the first upward "
     "zero crossing after the braking peak",
     Foot::lead},
    {"braking_impulse_whole_per_mass", "m/s", "whole braking impulse over body mass", Foot::lead},
    {"braking_timing", "s", "braking peak minus release; negative is before release", Foot::lead,
     Event::braking_peak},
    {"contact_to_release", "s", "release minus lead contact"},
    {"braking_fraction_by_release", "1", "braking impulse over the whole braking impulse",
     Foot::lead},
    {"braking_rate_greatest", "N/s",
     "greatest slope of a line fit over rate_fit (default 20 ms) to the braking force between lead "
     "contact and its peak",
     Foot::lead},
    {"braking_rate_greatest_bw", "BW/s", "greatest braking rate divided by body weight",
     Foot::lead},
    {"braking_rate_mean", "N/s",
     "braking peak force minus the braking force at lead contact, over the time between",
     Foot::lead, Event::braking_peak},
    {"braking_rate_mean_bw", "BW/s", "mean braking rate divided by body weight", Foot::lead,
     Event::braking_peak},
    {"vertical_rate_greatest", "N/s",
     "greatest slope of a line fit over rate_fit (default 20 ms) to the vertical force under the "
     "lead foot between lead contact and its peak",
     Foot::lead},
    {"vertical_rate_greatest_bw", "BW/s", "greatest vertical rate divided by body weight",
     Foot::lead},
    {"vertical_rate_mean", "N/s",
     "vertical peak force minus the vertical force at lead contact, over the time between",
     Foot::lead, Event::vertical_peak},
    {"vertical_rate_mean_bw", "BW/s", "mean vertical rate divided by body weight", Foot::lead,
     Event::vertical_peak},
    {"both_feet_overlap", "s", "back foot off minus lead contact", Foot::both},
    {"drive_peak_to_contact", "s", "lead contact minus drive peak", Foot::both},
    {"momentum_at_contact", "kg m/s",
     "impulse of the x forces under both feet from the quiet set to lead contact", Foot::both},
    {"momentum_at_release", "kg m/s",
     "impulse of the x forces under both feet from the quiet set to release", Foot::both},
    {"turning_impulse_before_contact", "N m s",
     "integral from drive start to lead contact of the vertical turning moment: free moments plus "
     "the couple of the horizontal forces about the common centre of pressure, positive where it "
     "twists the feet from the toe side toward home",
     Foot::both},
    {"turning_impulse_after_contact", "N m s", "the same integral from lead contact to release",
     Foot::both},
    {"stride_length", "m",
     "horizontal distance between the force-weighted mean centre of pressure of the back foot over "
     "load and of the lead foot from lead contact to release",
     Foot::both},
    {"stride_length_height", "%", "stride length over body height", Foot::both},
    {"balance_path_length", "m",
     "horizontal path length of the centre of pressure under the back foot from back-leg loaded to "
     "drive start",
     Foot::back},
    {"balance_sway_area", "m^2",
     "area of the 95 % prediction ellipse of the centre of pressure over the same time",
     Foot::back},
}};

// A row for each name: one that is forgotten leaves the last empty.
static_assert(!events.back().key.empty() && !quantities.back().key.empty());

template <class Name, std::size_t size>
std::optional<Name> find(const std::array<Entry, size>& entries, std::string_view key) {
  for (std::size_t i = 0; i < size; ++i)
    if (entries[i].key == key) return static_cast<Name>(i);
  return std::nullopt;
}

}  // namespace

const Entry& entry(Event event) { return events.at(static_cast<std::size_t>(event)); }
const Entry& entry(Quantity quantity) { return quantities.at(static_cast<std::size_t>(quantity)); }
std::optional<Event> find_event(std::string_view key) { return find<Event>(events, key); }
std::optional<Quantity> find_quantity(std::string_view key) {
  return find<Quantity>(quantities, key);
}

}  // namespace moundwork::definitions
