// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/definitions/quantity_names.h"

#include <stdexcept>
#include <string_view>

#include "core/base/sentence.h"

namespace moundwork::definitions {

std::string quantity_name(Quantity quantity) {
  switch (quantity) {
    case Quantity::ball_speed:
      return sentence("ball speed");
    case Quantity::drive_peak_force:
      return sentence("drive peak force");
    case Quantity::drive_peak_force_bw:
      return sentence("drive peak force per body weight");
    case Quantity::drive_impulse:
      return sentence("drive impulse");
    case Quantity::drive_impulse_per_mass:
      return sentence("drive impulse per mass");
    case Quantity::drive_impulse_to_foot_off:
      return sentence("drive impulse to foot off");
    case Quantity::drive_impulse_to_foot_off_per_mass:
      return sentence("drive impulse to foot off per mass");
    case Quantity::heel_toe_at_drive_peak:
      return sentence("heel-to-toe position at drive peak");
    case Quantity::heel_toe_load_mean:
      return sentence("mean heel-to-toe position over load");
    case Quantity::heel_toe_drive_mean:
      return sentence("mean heel-to-toe position over drive");
    case Quantity::heel_toe_travel:
      return sentence("heel-to-toe travel");
    case Quantity::heel_drive_share:
      return sentence("heel's share of the drive");
    case Quantity::load_direction:
      return sentence("load direction");
    case Quantity::load_tilt:
      return sentence("load tilt");
    case Quantity::braking_peak_force:
      return sentence("braking peak force");
    case Quantity::braking_peak_force_bw:
      return sentence("braking peak force per body weight");
    case Quantity::vertical_peak_force:
      return sentence("vertical peak force");
    case Quantity::vertical_peak_force_bw:
      return sentence("vertical peak force per body weight");
    case Quantity::braking_impulse:
      return sentence("braking impulse");
    case Quantity::braking_impulse_per_mass:
      return sentence("braking impulse per mass");
    case Quantity::braking_impulse_to_peak:
      return sentence("braking impulse to its peak");
    case Quantity::braking_impulse_to_peak_per_mass:
      return sentence("braking impulse to its peak per mass");
    case Quantity::braking_impulse_whole:
      return sentence("whole braking impulse");
    case Quantity::braking_impulse_whole_per_mass:
      return sentence("whole braking impulse per mass");
    case Quantity::braking_timing:
      return sentence("braking timing");
    case Quantity::contact_to_release:
      return sentence("contact to release");
    case Quantity::braking_fraction_by_release:
      return sentence("share of the braking by release");
    case Quantity::braking_rate_greatest:
      return sentence("greatest braking rate");
    case Quantity::braking_rate_greatest_bw:
      return sentence("greatest braking rate per body weight");
    case Quantity::braking_rate_mean:
      return sentence("mean braking rate");
    case Quantity::braking_rate_mean_bw:
      return sentence("mean braking rate per body weight");
    case Quantity::vertical_rate_greatest:
      return sentence("greatest vertical rate");
    case Quantity::vertical_rate_greatest_bw:
      return sentence("greatest vertical rate per body weight");
    case Quantity::vertical_rate_mean:
      return sentence("mean vertical rate");
    case Quantity::vertical_rate_mean_bw:
      return sentence("mean vertical rate per body weight");
    case Quantity::both_feet_overlap:
      return sentence("time on both feet");
    case Quantity::drive_peak_to_contact:
      return sentence("drive peak to contact");
    case Quantity::momentum_at_contact:
      return sentence("momentum at contact");
    case Quantity::momentum_at_release:
      return sentence("momentum at release");
    case Quantity::turning_impulse_before_contact:
      return sentence("turning impulse before contact");
    case Quantity::turning_impulse_after_contact:
      return sentence("turning impulse after contact");
    case Quantity::stride_length:
      return sentence("stride length");
    case Quantity::stride_length_height:
      return sentence("stride length per body height");
    case Quantity::balance_path_length:
      return sentence("balance path length");
    case Quantity::balance_sway_area:
      return sentence("balance sway area");
    case Quantity::count:
      break;
  }
  throw std::logic_error("a quantity without a name");
}

std::string plain_definition(Quantity quantity) {
  // The catalogue's definitions are exact and name the axis, which only their page draws.
  std::string text(entry(quantity).definition);
  const auto replace = [&](std::string_view exact, std::string_view plain) {
    for (std::size_t at = text.find(exact); at != std::string::npos; at = text.find(exact))
      text.replace(at, exact.size(), plain);
  };
  replace("x forces", "forces toward home");
  replace("x force", "force toward home");
  return text;
}

}  // namespace moundwork::definitions
