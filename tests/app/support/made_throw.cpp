// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/support/made_throw.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <numbers>
#include <span>
#include <string>
#include <vector>

#include "support/c3d_builder.h"

namespace moundwork::test::made_throw {
namespace {

constexpr double analog_rate = 1000.0;
constexpr std::size_t frames = 1000;
constexpr std::size_t samples_per_frame = 4;
constexpr double origin_z = -40.0;    // mm
constexpr double back_cop_y = -39.0;  // mm; (-39 - 130) / (-130 - 130) = 65 % of the way to the toe
constexpr std::array<double, 3> plate_x{100.0, 1600.0, 2200.0};  // mm

double ramp(double t, double from, double to) {
  const double x = std::clamp((t - from) / (to - from), 0.0, 1.0);
  return x * x * (3.0 - 2.0 * x);
}

double hump(double t, double from, double length) {
  if (t <= from || t >= from + length) return 0.0;
  const double s = std::sin(std::numbers::pi * (t - from) / length);
  return s * s;
}

struct Force {
  double x, z;
};

Force back_foot(double t) {
  return {drive_peak_bw * weight * hump(t, drive_peak - 0.3, 0.6),
          weight * (0.6 + 0.4 * ramp(t, 1.0, 1.5) - ramp(t, 2.45, 2.6))};
}

Force lead_foot(double t) {
  return {-braking_peak_bw * weight * hump(t, touch, braking_length),
          weight * (vertical_peak_bw * ramp(t, touch, touch + vertical_rise) -
                    ramp(t, touch + vertical_rise, touch + 3.0 * vertical_rise))};
}

// The plate's z axis points down and its channels hold the foot's action: with the plate's x as the
// lab's, (-Fx, Fy, Fz) of the reaction. Moments about the origin, N mm, of a force at `cop_y`
// (lab).
std::array<double, 6> channels(const Force& reaction, double cop_y) {
  const double fx = -reaction.x;
  const double fz = reaction.z;
  const double py = -cop_y;
  // p x F with p = (0, py, origin_z).
  return {fx, 0.0, fz, py * fz, origin_z * fx, -py * fx};
}

// The first two plates, or all three.
void write_plates(const std::filesystem::path& path, std::size_t plates, double share_of_third,
                  bool third_is_back = false) {
  const auto channels_used = static_cast<double>(6 * plates);
  const auto plates_used = static_cast<double>(plates);
  std::vector<std::string> labels, units;
  std::vector<double> numbers, origins;
  for (std::size_t plate = 0; plate < plates; ++plate) {
    for (const char* label : {"Fx", "Fy", "Fz", "Mx", "My", "Mz"}) {
      labels.push_back(label + std::to_string(plate + 1));
      units.push_back(label[0] == 'F' ? "N" : "Nmm");
      numbers.push_back(static_cast<double>(numbers.size() + 1));
    }
    origins.insert(origins.end(), {0.0, 0.0, origin_z});
  }
  C3dRecipe recipe;
  recipe.real = true;
  recipe.points = 2;
  recipe.channels = 6 * plates;
  recipe.samples_per_frame = samples_per_frame;
  recipe.frames = frames;
  recipe.header_rate = analog_rate / static_cast<double>(samples_per_frame);
  std::vector<double> corners;
  for (const double x : std::span(plate_x).first(plates))
    corners.insert(corners.end(), {x + 300, -450, 0, x - 300, -450, 0,  //
                                   x - 300, 450, 0, x + 300, 450, 0});
  recipe.entries = {
      int_entry("POINT", "USED", {}, {2}),
      real_entry("POINT", "SCALE", {}, {-recipe.point_scale}),
      real_entry("POINT", "RATE", {}, {recipe.header_rate}),
      int_entry("POINT", "FRAMES", {}, {static_cast<double>(frames)}),
      text_entry("POINT", "LABELS", {"HEEL", "TOE"}),
      text_entry("POINT", "UNITS", {"mm"}),
      int_entry("ANALOG", "USED", {}, {channels_used}),
      text_entry("ANALOG", "LABELS", labels),
      text_entry("ANALOG", "UNITS", units),
      real_entry("ANALOG", "GEN_SCALE", {}, {1}),
      real_entry("ANALOG", "SCALE", {static_cast<int>(6 * plates)},
                 std::vector<double>(6 * plates, 1.0)),
      int_entry("ANALOG", "OFFSET", {static_cast<int>(6 * plates)},
                std::vector<double>(6 * plates, 0.0)),
      real_entry("ANALOG", "RATE", {}, {analog_rate}),
      int_entry("FORCE_PLATFORM", "USED", {}, {plates_used}),
      int_entry("FORCE_PLATFORM", "TYPE", {static_cast<int>(plates)},
                std::vector<double>(plates, 2.0)),
      int_entry("FORCE_PLATFORM", "ZERO", {2}, {0, 0}),
      real_entry("FORCE_PLATFORM", "CORNERS", {3, 4, static_cast<int>(plates)}, corners),
      real_entry("FORCE_PLATFORM", "ORIGIN", {3, static_cast<int>(plates)}, origins),
      int_entry("FORCE_PLATFORM", "CHANNEL", {6, static_cast<int>(plates)}, numbers),
  };
  recipe.position = [](std::size_t, std::size_t point, std::size_t axis) {
    const double y = point == 0 ? 130.0 : -130.0;
    return axis == 0 ? plate_x[0] : axis == 1 ? y : 20.0;
  };
  recipe.raw = [=](std::size_t sample, std::size_t channel) {
    const double t = static_cast<double>(sample) / analog_rate;
    const bool back = channel < 6 || (channel >= 12 && third_is_back);
    const bool shared = channel >= 12 || back == third_is_back;
    const double share = channel >= 12 ? share_of_third : shared ? 1.0 - share_of_third : 1.0;
    return share *
           (back ? channels(back_foot(t), back_cop_y) : channels(lead_foot(t), 0.0))[channel % 6];
  };
  const auto bytes = build(recipe);
  std::ofstream(path, std::ios::binary)
      .write(reinterpret_cast<const char*>(bytes.data()),
             static_cast<std::streamsize>(bytes.size()));
}

}  // namespace

double lead_contact(double share) {
  double low = touch;
  double high = touch + vertical_rise;
  for (int i = 0; i < 60; ++i) {
    const double middle = 0.5 * (low + high);
    (lead_foot(middle).z < share * weight ? low : high) = middle;
  }
  return low;
}

double braking_impulse(double from, double to) {
  // Integral of sin^2: x / 2 - L / (4 pi) sin(2 pi x / L).
  const auto whole = [](double t) {
    const double x = t - touch;
    return 0.5 * x - braking_length / (4.0 * std::numbers::pi) *
                         std::sin(2.0 * std::numbers::pi * x / braking_length);
  };
  return braking_peak_bw * weight * (whole(to) - whole(from));
}

void write(const std::filesystem::path& path) { write_plates(path, 2, 0.0); }

void write_on_two_back(const std::filesystem::path& path, double share_of_third) {
  write_plates(path, 3, share_of_third, true);
}

void write_on_three(const std::filesystem::path& path, double share_of_third) {
  write_plates(path, 3, share_of_third);
}

}  // namespace moundwork::test::made_throw
