// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <array>
#include <cstddef>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include "core/base/result.h"

/// Writer of C3D (C3D user guide, c3d.org): Intel byte order, real numbers, type 2 force plates.
namespace moundwork::c3d {

/// Units of the file: lengths in mm, forces in N, moments in N mm. Frames of points and samples of
/// channels run at one rate, or the samples at a whole multiple of it.
struct RecordingPoint {
  std::string label, description;
  Eigen::Array<float, Eigen::Dynamic, 3> xyz;  ///< mm, a row a frame; NaN where missing
};

struct RecordingChannel {
  std::string label, unit, description;
  Eigen::ArrayXf values;  ///< frames x samples_per_frame
};

/// Type 2: six channels Fx Fy Fz Mx My Mz of the athlete's action on the plate, in plate axes,
/// whose z points down, with moments about `origin` as the standard defines ORIGIN.
struct RecordingPlatform {
  std::array<Eigen::Vector3f, 4> corners;            ///< mm, lab
  Eigen::Vector3f origin = Eigen::Vector3f::Zero();  ///< mm, plate axes
  std::array<int, 6> channels{};                     ///< columns from 0
};

struct RecordingEvent {
  std::string label, context, description;  ///< context: "Left", "Right" or "General"
  double time = 0.0;                        ///< s from the first frame
};

struct Recording {
  double frame_rate = 0.0;  ///< Hz
  int samples_per_frame = 1;
  Eigen::Index frames = 0;
  std::vector<RecordingPoint> points;
  std::vector<RecordingChannel> channels;
  std::vector<RecordingPlatform> platforms;
  std::vector<RecordingEvent> events;
  std::string subject;
  std::string software, version;
  /// Entries of the group MOUNDWORK: texts that the standard has no place for.
  std::vector<std::pair<std::string, std::string>> notes;
};

/// The whole file. Fails where the standard cannot hold it: a text longer than 255 bytes is cut,
/// but more than 65535 frames, 255 channels, points or events are refused. Parts that do not fit
/// each other throw std::logic_error.
[[nodiscard]] Result<std::vector<std::byte>> to_bytes(const Recording& recording);

[[nodiscard]] Result<void> write(const Recording& recording, const std::filesystem::path& path);

}  // namespace moundwork::c3d
