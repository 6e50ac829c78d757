// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <string_view>

/// The names, units and one-line definitions of everything that is measured on a throw: the single
/// place that the result tables, JSON keys and the definitions page share.
namespace moundwork::definitions {

enum class Event : std::size_t {
  back_leg_loaded,
  drive_start,
  drive_peak,
  lead_contact,
  back_foot_off,
  braking_peak,
  vertical_peak,
  release,
  count
};

enum class Quantity : std::size_t {
  ball_speed,
  drive_peak_force,
  drive_peak_force_bw,
  drive_impulse,
  drive_impulse_per_mass,
  drive_impulse_to_foot_off,
  drive_impulse_to_foot_off_per_mass,
  heel_toe_at_drive_peak,
  heel_toe_load_mean,
  heel_toe_drive_mean,
  heel_toe_travel,
  heel_drive_share,
  load_direction,
  load_tilt,
  braking_peak_force,
  braking_peak_force_bw,
  vertical_peak_force,
  vertical_peak_force_bw,
  braking_impulse,
  braking_impulse_per_mass,
  braking_impulse_to_peak,
  braking_impulse_to_peak_per_mass,
  braking_impulse_whole,
  braking_impulse_whole_per_mass,
  braking_timing,
  contact_to_release,
  braking_fraction_by_release,
  braking_rate_greatest,
  braking_rate_greatest_bw,
  braking_rate_mean,
  braking_rate_mean_bw,
  vertical_rate_greatest,
  vertical_rate_greatest_bw,
  vertical_rate_mean,
  vertical_rate_mean_bw,
  both_feet_overlap,
  drive_peak_to_contact,
  momentum_at_contact,
  momentum_at_release,
  turning_impulse_before_contact,
  turning_impulse_after_contact,
  stride_length,
  stride_length_height,
  balance_path_length,
  balance_sway_area,
  count
};

inline constexpr std::size_t event_count = static_cast<std::size_t>(Event::count);
inline constexpr std::size_t quantity_count = static_cast<std::size_t>(Quantity::count);

/// Whose samples something is read from.
enum class Foot { none, back, lead, both };
[[nodiscard]] constexpr bool reads(Foot all, Foot one) { return all == one || all == Foot::both; }

struct Entry {
  std::string_view key;         ///< snake_case name in tables and JSON
  std::string_view unit;        ///< SI unit; BW = mass x 9.80665 m/s^2; % of the foot or of height
  std::string_view definition;  ///< one sentence
  /// Whose gaps take it away, and on whose plate's trace an event lies.
  Foot foot = Foot::none;
  /// The peak whose time lets noise into it, more than any other way.
  std::optional<Event> at_peak = std::nullopt;
};

[[nodiscard]] const Entry& entry(Event event);
[[nodiscard]] const Entry& entry(Quantity quantity);
[[nodiscard]] std::optional<Event> find_event(std::string_view key);
[[nodiscard]] std::optional<Quantity> find_quantity(std::string_view key);

}  // namespace moundwork::definitions
