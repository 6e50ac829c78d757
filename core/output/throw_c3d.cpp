// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/throw_c3d.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "core/definitions/catalogue.h"
#include "core/session/edit_state.h"
#include "core/signal/series.h"

namespace moundwork::output {
namespace {

using definitions::Event;
using foot::PlateWindow;

constexpr double mm_per_metre = 1000.0;

// Times that all plates share: those of `base`, from its sample `first` on.
struct Grid {
  const PlateWindow* base = nullptr;
  Eigen::Index first = 0;
  Eigen::Index count = 0;
};

Grid common_grid(const PlatesOfThrow& plates) {
  Grid grid{&plates.plates.front().window, 0, 0};
  double begin = grid.base->start, end = grid.base->end();
  for (const PlateAround& plate : plates.plates) {
    if (plate.window.step < grid.base->step) grid.base = &plate.window;
    begin = std::max(begin, plate.window.start);
    end = std::min(end, plate.window.end());
  }
  constexpr double rounding = 1e-6;  // of a sample
  grid.first = static_cast<Eigen::Index>(std::ceil(grid.base->index(begin) - rounding));
  const auto last = static_cast<Eigen::Index>(std::floor(grid.base->index(end) + rounding));
  grid.count = std::max<Eigen::Index>(0, last - grid.first + 1);
  return grid;
}

bool on_grid(const PlateWindow& window, const Grid& grid) {
  constexpr double rounding = 1e-6;
  const double first = window.index(grid.base->time(static_cast<double>(grid.first)));
  return std::abs(first - std::round(first)) < rounding &&
         std::abs(window.step / grid.base->step - 1.0) * static_cast<double>(grid.count) < rounding;
}

// Wrench of a plate at the grid's times.
plate::WrenchSeries at_grid(const PlateWindow& window, const Grid& grid) {
  if (on_grid(window, grid)) {
    const double first = window.index(grid.base->time(static_cast<double>(grid.first)));
    return window.wrench.middleRows(static_cast<Eigen::Index>(std::lround(first)), grid.count);
  }
  plate::WrenchSeries wrench(grid.count, 6);
  for (Eigen::Index c = 0; c < 6; ++c) {
    const Eigen::ArrayXd values = window.wrench.col(c);
    for (Eigen::Index i = 0; i < grid.count; ++i)
      wrench(i, c) = signal::value_at(
          values, window.index(grid.base->time(static_cast<double>(grid.first + i))));
  }
  return wrench;
}

void add_plate(const PlateWindow& window, const plate::WrenchSeries& lab, int number,
               const std::string& who, c3d::Recording& recording) {
  const plate::PlateFrame& frame = window.frame;
  const Eigen::Vector3d x = frame.rotation.col(0);
  const Eigen::Vector3d z = -frame.up;
  const Eigen::Vector3d y = z.cross(x);
  Eigen::Matrix3d axes;
  axes << x, y, z;

  c3d::RecordingPlatform platform;
  constexpr std::pair<double, double> quadrants[] = {{1, 1}, {-1, 1}, {-1, -1}, {1, -1}};
  for (std::size_t i = 0; i < 4; ++i)
    platform.corners[i] =
        (mm_per_metre * (frame.centre + quadrants[i].first * frame.half_size.x() * x +
                         quadrants[i].second * frame.half_size.y() * y))
            .cast<float>();
  // What the foot does to the plate is the opposite of what the ground does to the foot.
  const Eigen::MatrixXd force = -lab.leftCols<3>().matrix() * axes;
  const Eigen::MatrixXd moment = -mm_per_metre * lab.rightCols<3>().matrix() * axes;
  constexpr const char* names[] = {"Fx", "Fy", "Fz", "Mx", "My", "Mz"};
  for (int c = 0; c < 6; ++c) {
    platform.channels[static_cast<std::size_t>(c)] = static_cast<int>(recording.channels.size());
    recording.channels.push_back(
        {fmt::format("{}{}", names[c], number), c < 3 ? "N" : "Nmm",
         fmt::format("{} of the {} foot on this plate", c < 3 ? "force" : "moment", who),
         (c < 3 ? force.col(c) : moment.col(c - 3)).cast<float>().array()});
  }
  recording.platforms.push_back(platform);
}

// The back foot is the throwing hand's.
std::string side_of(Event event, session::Hand hand) {
  const definitions::Foot foot = definitions::entry(event).foot;
  if (foot != definitions::Foot::back && foot != definitions::Foot::lead) return "General";
  const bool back = foot == definitions::Foot::back;
  return back == (hand == session::Hand::right) ? "Right" : "Left";
}

void add_foot_line(const session::FootLine& line, c3d::Recording& recording) {
  const auto add = [&](const char* label, const char* description, const Eigen::Vector3d& place) {
    c3d::RecordingPoint point{label, description, {}};
    point.xyz =
        (mm_per_metre * place).cast<float>().transpose().array().replicate(recording.frames, 1);
    recording.points.push_back(std::move(point));
  };
  add("HEEL", "heel of the back foot as it lies along the rubber", line.heel);
  add("TOE", "toe of the same", line.toe);
}

std::string gaps_of(const PlateAround& plate, double start) {
  std::string text;
  for (const foot::TimeSpan& gap : plate.window.gaps)
    text += fmt::format("{}{} {:.4f}-{:.4f}", text.empty() ? "" : ", ", plate.ordinal,
                        gap.begin - start, gap.end - start);
  return text;
}

std::string listed(const std::vector<std::string>& words) {
  return words.empty() ? "none" : fmt::format("{}", fmt::join(words, ", "));
}

}  // namespace

Result<c3d::Recording> throw_recording(const ExportedSession& exported_session,
                                       const session::ResultThrow& one, const PlatesOfThrow& plates,
                                       const std::optional<session::FootLine>& foot_line) {
  const relate::AnalysedSession& session = exported_session.session;
  const session::Athlete& athlete = session.athlete;
  const Grid grid = common_grid(plates);
  const double start = grid.base->time(static_cast<double>(grid.first));
  const double rate = 1.0 / grid.base->step;

  c3d::Recording recording;
  // Frames at the rate of cameras, as other programs expect them; samples stay as dense as they
  // are.
  constexpr double greatest_frame_rate = 250.0;
  constexpr double rounding = 0.01;  // a clock's fit makes 250.003 of 250
  recording.samples_per_frame =
      std::max(1, static_cast<int>(std::ceil(rate / greatest_frame_rate - rounding)));
  recording.frame_rate = rate / recording.samples_per_frame;
  recording.frames = grid.count / recording.samples_per_frame;
  if (recording.frames == 0)
    return fail(fmt::format("session {}, throw {}", session.id, one.number),
                "its plates did not record at the same time", "leave it out of the C3D export");
  const Eigen::Index samples = recording.frames * recording.samples_per_frame;
  std::vector<std::string> resampled, gaps;
  int number = 0;
  for (const PlateAround& plate : plates.plates) {
    add_plate(plate.window, at_grid(plate.window, grid).topRows(samples), ++number,
              plate.role == session::PlateRole::back ? "back" : "lead", recording);
    if (!on_grid(plate.window, grid)) resampled.push_back(fmt::format("plate {}", number));
    if (std::string bridged = gaps_of(plate, start); !bridged.empty())
      gaps.push_back(std::move(bridged));
  }
  if (foot_line) add_foot_line(*foot_line, recording);

  const double length = static_cast<double>(samples) * grid.base->step;
  for (const session::ResultValue& event : one.events) {
    const auto known = definitions::find_event(event.key);
    const double time = event.measured.value - start;
    if (!known || !(time >= 0.0 && time <= length)) continue;
    recording.events.push_back({event.key, side_of(*known, athlete.throws),
                                std::string(definitions::entry(*known).definition), time});
  }

  recording.subject = athlete.name.empty() ? athlete.id : athlete.name;
  recording.software = "Moundwork";
  recording.version = MOUNDWORK_VERSION;
  recording.notes = {
      {"AXES",
       "x from the rubber to home plate, y to the left of someone facing home, z up; origin "
       "in the middle of the rubber's front edge"},
      {"FORCES", "tared, not filtered; action of the foot about the middle of the plate's surface"},
      {"SESSION", session.id},
      {"STARTED", session.started},
      {"THROW", fmt::format("{}", one.number)},
      {"START_S", fmt::format("{:.6f}", start)},
      {"HAND", athlete.throws == session::Hand::right ? "right" : "left"},
      {"MASS_KG", fmt::format("{}", athlete.mass.value)},
      {"RESAMPLED", listed(resampled)},
      {"GAPS_S", listed(gaps)}};
  if (athlete.height.known())
    recording.notes.emplace_back("HEIGHT_M", fmt::format("{}", athlete.height.value));
  const auto excluded = session::state_of(session.edits, seconds(one.contact)).excluded;
  recording.notes.emplace_back("EXCLUDED", excluded ? "yes: " + excluded->why : "no");
  return recording;
}

}  // namespace moundwork::output
