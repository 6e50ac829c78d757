// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/intake/markers.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace moundwork::intake {
namespace {

using Track = Eigen::Array<double, Eigen::Dynamic, 3>;

Result<Track> track_of(const c3d::File& file, const std::string& label) {
  const auto point = c3d::find_point(file, label);
  if (!point) {
    std::string labels;
    for (const std::string& known : file.points.labels)
      labels += (labels.empty() ? "" : ", ") + known;
    return fail(file.name, fmt::format("has no marker '{}'", label),
                labels.empty() ? "the file names no markers" : "it has " + labels);
  }
  return c3d::trajectory(file, *point);
}

// Speed by central differences over `reach` frames to each side, m/s; NaN where a marker is
// missing.
Eigen::ArrayXd speed_of(const Track& track, double rate, Eigen::Index reach) {
  Eigen::ArrayXd speed =
      Eigen::ArrayXd::Constant(track.rows(), std::numeric_limits<double>::quiet_NaN());
  for (Eigen::Index i = reach; i + reach < track.rows(); ++i)
    speed(i) = (track.row(i + reach) - track.row(i - reach)).matrix().norm() * rate /
               (2.0 * static_cast<double>(reach));
  return speed;
}

}  // namespace

Result<session::FootLine> foot_line_from_markers(const c3d::File& file, const std::string& heel,
                                                 const std::string& toe,
                                                 const Eigen::Matrix3d& to_lab) {
  const auto heel_track = track_of(file, heel);
  if (!heel_track) return tl::make_unexpected(heel_track.error());
  const auto toe_track = track_of(file, toe);
  if (!toe_track) return tl::make_unexpected(toe_track.error());
  // Over 20 ms a tenth of a metre a second stands clear of a marker's jitter.
  constexpr double still = 0.1;
  const auto reach =
      std::max<Eigen::Index>(1, static_cast<Eigen::Index>(std::lround(0.01 * file.point_rate)));
  const Eigen::ArrayXd heel_speed = speed_of(*heel_track, file.point_rate, reach);
  const Eigen::ArrayXd toe_speed = speed_of(*toe_track, file.point_rate, reach);
  Eigen::Index best = 0;
  Eigen::Index best_end = 0;
  Eigen::Index begin = 0;
  for (Eigen::Index i = 0; i <= heel_speed.size(); ++i) {
    const bool moves = i == heel_speed.size() || !(heel_speed(i) < still && toe_speed(i) < still);
    if (!moves) continue;
    if (i - begin > best_end - best) {
      best = begin;
      best_end = i;
    }
    begin = i + 1;
  }
  const Eigen::Index frames = best_end - best;
  constexpr double least_still_time = 0.05;
  if (static_cast<double>(frames) < least_still_time * file.point_rate)
    return fail(file.name,
                fmt::format("markers '{}' and '{}' are never both seen at rest", heel, toe),
                "give the foot's line as measured points");
  const auto mean = [&](const Track& track) -> Eigen::Vector3d {
    return to_lab * track.middleRows(best, frames).colwise().mean().matrix().transpose();
  };
  // A marker sits on the shoe near, not at, the end of the foot: about 5 mm (common practice).
  return session::FootLine{mean(*heel_track), mean(*toe_track), 0.005,
                           session::FootLineSource::markers};
}

Result<session::KnownRelease> release_from_marker(const c3d::File& file,
                                                  const std::string& marker) {
  const auto track = track_of(file, marker);
  if (!track) return tl::make_unexpected(track.error());
  const Eigen::ArrayXd speed = speed_of(*track, file.point_rate, 1);
  Eigen::Index fastest = -1;
  for (Eigen::Index i = 0; i < speed.size(); ++i)
    if (std::isfinite(speed(i)) && (fastest < 0 || speed(i) > speed(fastest))) fastest = i;
  if (fastest < 0)
    return fail(file.name, fmt::format("marker '{}' is never seen in three frames running", marker),
                "give the release as a time");
  // The instant lies anywhere within a frame to either side.
  return session::KnownRelease{session_time(static_cast<double>(fastest) / file.point_rate),
                               1.0 / (std::sqrt(3.0) * file.point_rate),
                               "greatest speed of marker " + marker};
}

}  // namespace moundwork::intake
