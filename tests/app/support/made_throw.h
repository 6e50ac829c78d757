// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

/// A C3D recording of one throw whose every force is a formula, so that what an analysis must find
/// follows from the formulas.
namespace moundwork::test::made_throw {

inline constexpr double mass = 80.0;              ///< kg
inline constexpr double weight = mass * 9.80665;  ///< N
inline constexpr double drive_peak = 2.2;         ///< s
inline constexpr double drive_peak_bw = 0.6;
inline constexpr double touch = 2.5;         ///< s, first force under the lead foot
inline constexpr double braking_peak = 2.6;  ///< s
inline constexpr double braking_peak_bw = 1.2;
inline constexpr double braking_length = 0.2;    ///< s, of the braking hump
inline constexpr double vertical_peak_bw = 2.0;  ///< at 2.6 s
inline constexpr double vertical_rise = 0.1;     ///< s
inline constexpr double heel_toe = 65.0;         ///< %, all the time

/// Two type 2 plates at 1000 Hz: number 1 under the back foot, 2 under the lead foot. Markers HEEL
/// and TOE at 250 Hz. 4 s.
void write(const std::filesystem::path& path);
/// With a third plate that takes this share of every force of the lead foot, beside its own, or of
/// the back foot, beside that.
void write_on_three(const std::filesystem::path& path, double share_of_third);
void write_on_two_back(const std::filesystem::path& path, double share_of_third);

/// Time at which the vertical force under the lead foot passes `share` of body weight, s.
[[nodiscard]] double lead_contact(double share);
/// Braking impulse between two times of the hump, N s.
[[nodiscard]] double braking_impulse(double from, double to);

}  // namespace moundwork::test::made_throw
