// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/c3d/force_platforms.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <optional>
#include <string_view>
#include <utility>
#include <variant>

#include "core/plate/component_unit.h"
#include "core/plate/wrench.h"

namespace moundwork::c3d {
namespace {

using plate::PlateDescription;
using plate::PlateType;
using plate::UnitKind;

// Noise, drift and the floor's shaking within a recording stay under this; a person does not.
constexpr double least_load_newtons = 50.0;
// An empty plate keeps its level this well within a recording.
constexpr double greatest_drift_newtons = 20.0;
// A level beyond this that never changes is someone standing still, not a plate left untared.
constexpr double greatest_steady_offset_newtons = 100.0;

// Numbers of plate `index` in an array whose last dimension counts plates.
std::optional<std::span<const double>> numbers_of(const File& file, std::string_view name,
                                                  std::size_t per_plate, std::size_t index) {
  const Parameter* entry = find(file.parameters, name);
  if (entry == nullptr || per_plate == 0 || entry->numbers.size() / per_plate <= index)
    return std::nullopt;
  return std::span(entry->numbers).subspan(index * per_plate, per_plate);
}

Failure missing_entry(const std::string& where, std::string_view name, std::size_t index) {
  return fail(where, fmt::format("{} holds nothing for plate {}", name, index + 1));
}

Result<std::vector<int>> plate_channels(const File& file, PlateType type, std::size_t index,
                                        std::size_t plate_count, const std::string& where) {
  constexpr std::string_view name = "FORCE_PLATFORM:CHANNEL";
  const auto wanted = static_cast<std::size_t>(plate::component_count(type));
  const Parameter* entry = find(file.parameters, name);
  if (entry == nullptr) return missing_entry(where, name, index);
  const std::size_t per_plate = entry->dimensions.size() >= 2
                                    ? static_cast<std::size_t>(entry->dimensions.front())
                                    : entry->numbers.size() / plate_count;
  const auto stored = numbers_of(file, name, per_plate, index);
  if (!stored) return missing_entry(where, name, index);
  if (per_plate < wanted)
    return fail(where, fmt::format("{} gives {} channels, where a type {} plate has {}", name,
                                   per_plate, static_cast<int>(type), wanted));
  std::vector<int> channels;
  for (std::size_t i = 0; i < wanted; ++i) {
    const double channel = unsigned_value((*stored)[i]);
    if (!(channel >= 1.0 && channel <= static_cast<double>(file.analog.channels.size())))
      return fail(where, fmt::format("its channel {} is number {}, where the file has 1 to {}",
                                     i + 1, channel, file.analog.channels.size()));
    const int column = static_cast<int>(channel) - 1;
    const AnalogChannel& analog = file.analog.channels[static_cast<std::size_t>(column)];
    if (!analog.scaled)
      return fail(where,
                  fmt::format("analog channel {} ({}) has no ANALOG:SCALE", channel, analog.label));
    channels.push_back(column);
  }
  return channels;
}

// Factors that bring each component to N, m or N m.
Eigen::VectorXd component_factors(const File& file, PlateType type,
                                  const std::vector<int>& channels,
                                  std::vector<std::string>& remarks) {
  Eigen::VectorXd factors(plate::component_count(type));
  for (int i = 0; i < factors.size(); ++i) {
    const UnitKind wanted = plate::component_kind(type, i);
    factors(i) = wanted == UnitKind::force ? 1.0 : file.metres_per_unit;
    const AnalogChannel& channel =
        file.analog.channels[static_cast<std::size_t>(channels[static_cast<std::size_t>(i)])];
    const auto unit = plate::parse_component_unit(channel.unit);
    if (unit && unit->kind == wanted) factors(i) = unit->factor;
    // Before its matrix a type 4 channel is a voltage, and says so rightly.
    else if (!channel.unit.empty() && type != PlateType::six_component_matrix)
      remarks.push_back(fmt::format("channel '{}' is in '{}'; {} was taken", channel.label,
                                    channel.unit,
                                    wanted == UnitKind::force    ? "N"
                                    : wanted == UnitKind::length ? "POINT:UNITS"
                                                                 : "N times POINT:UNITS"));
  }
  return factors;
}

Result<Eigen::MatrixXd> calibration_matrix(const File& file, std::size_t index,
                                           const std::string& where) {
  constexpr std::string_view name = "FORCE_PLATFORM:CAL_MATRIX";
  const Parameter* entry = find(file.parameters, name);
  if (entry == nullptr) return missing_entry(where, name, index);
  if (entry->dimensions.size() < 2 || entry->dimensions[0] < 6 || entry->dimensions[1] < 6)
    return fail(where, fmt::format("{} is smaller than the 6 x 6 of a type 4 plate", name));
  const auto rows = static_cast<Eigen::Index>(entry->dimensions[0]);
  const auto columns = static_cast<Eigen::Index>(entry->dimensions[1]);
  const auto stored = numbers_of(file, name, static_cast<std::size_t>(rows * columns), index);
  if (!stored) return missing_entry(where, name, index);
  return Eigen::MatrixXd(
      Eigen::Map<const Eigen::MatrixXd>(stored->data(), rows, columns).topLeftCorner<6, 6>());
}

// Vertical force of the plate over time from its scaled channels, N.
Eigen::VectorXd vertical_force(const plate::WrenchMap& map, const Eigen::MatrixXd& channels) {
  return channels * (map.frame().up.transpose() * map.force_matrix()).transpose();
}

double mean_of_finite(const Eigen::Ref<const Eigen::VectorXd>& values) {
  double sum = 0.0;
  Eigen::Index count = 0;
  for (const double value : values) {
    if (!std::isfinite(value)) continue;
    sum += value;
    ++count;
  }
  return count == 0 ? 0.0 : sum / static_cast<double>(count);
}

struct Rows {
  Eigen::Index first, count;
};

// Samples of the frames FORCE_PLATFORM:ZERO calls unloaded; the standard counts frames from 1,
// reads 0 to 10 as 1 to 10, and 0 to 0 as none.
std::optional<Rows> unloaded_rows(const File& file, std::vector<std::string>& remarks) {
  const Parameter* zero = find(file.parameters, "FORCE_PLATFORM:ZERO");
  if (zero == nullptr || zero->numbers.size() < 2) return std::nullopt;
  const double first = std::max(unsigned_value(zero->numbers[0]), 1.0);
  const double last = unsigned_value(zero->numbers[1]);
  if (zero->numbers[0] == 0.0 && last == 0.0) return std::nullopt;
  if (!(last >= first && last <= static_cast<double>(file.frame_count))) {
    remarks.push_back(
        fmt::format("FORCE_PLATFORM:ZERO names frames {} to {} of {}; no baseline was taken", first,
                    last, file.frame_count));
    return std::nullopt;
  }
  const auto from = static_cast<Eigen::Index>(first) - 1;
  return Rows{from * file.samples_per_frame,
              (static_cast<Eigen::Index>(last) - from) * file.samples_per_frame};
}

bool is_position(PlateType type, Eigen::Index component) {
  return type == PlateType::centre_of_pressure && (component == 3 || component == 4);
}

// The two ends of the vertical force over the recording. Weight pushes one way only, so one end is
// the empty plate, and it is the one nearer to zero: what a plate carries is more than what it is
// off by.
struct LoadRange {
  double rest = 0.0;
  double peak = 0.0;

  [[nodiscard]] double span() const { return std::abs(peak - rest); }
  [[nodiscard]] bool loaded() const {
    return span() > least_load_newtons ||
           std::abs(peak + rest) / 2.0 > greatest_steady_offset_newtons;
  }
};

LoadRange load_range(const Eigen::VectorXd& force) {
  std::vector<double> values;
  values.reserve(static_cast<std::size_t>(force.size()));
  std::copy_if(force.begin(), force.end(), std::back_inserter(values),
               [](double value) { return std::isfinite(value); });
  if (values.empty()) return {};
  // One sample in a thousand may be a spike on the wire.
  const auto spikes = static_cast<std::ptrdiff_t>(values.size() / 1000);
  const auto end_at = [&values](std::ptrdiff_t rank) {
    std::nth_element(values.begin(), values.begin() + rank, values.end());
    return values[static_cast<std::size_t>(rank)];
  };
  const double lowest = end_at(spikes);
  const double highest = end_at(static_cast<std::ptrdiff_t>(values.size()) - 1 - spikes);
  if (std::abs(lowest) <= std::abs(highest)) return {lowest, highest};
  return {highest, lowest};
}

// The mean of the frames that ZERO names, in raw units, if the plate was empty in them.
void settle_baseline(const File& file, const Eigen::VectorXd& force, const Eigen::MatrixXd& values,
                     const LoadRange& range, ForcePlatform& platform) {
  platform.baseline.setZero(values.cols());
  const auto rows = unloaded_rows(file, platform.remarks);
  if (!rows) return;
  const double load = mean_of_finite(force.segment(rows->first, rows->count));
  const bool at_rest =
      std::abs(load - range.rest) <= std::max(greatest_drift_newtons, 0.1 * range.span());
  // An offset as large as a person is believed only where the plate was seen to be loaded far more.
  const bool believable =
      std::abs(load) <= greatest_steady_offset_newtons || range.span() > 2.0 * std::abs(load);
  if (!at_rest || !believable) {
    platform.remarks.push_back(
        fmt::format("the frames of FORCE_PLATFORM:ZERO hold {:.0f} N, so they are not unloaded; no "
                    "baseline was taken",
                    std::abs(load)));
    return;
  }
  for (Eigen::Index i = 0; i < values.cols(); ++i) {
    // The place of no force means nothing, so its mean is no zero.
    if (is_position(platform.description.type, i)) continue;
    const int column = platform.channels[static_cast<std::size_t>(i)];
    const double scale = file.analog.channels[static_cast<std::size_t>(column)].scale;
    if (scale == 0.0) continue;
    platform.baseline(i) = mean_of_finite(values.col(i).segment(rows->first, rows->count)) / scale;
  }
}

void settle_origin_sign(const plate::PlateFrame& frame, ForcePlatform& platform) {
  Eigen::Vector3d& origin = platform.description.origin;
  if (frame.rotation(2, 2) * origin.z() >= 0.0) return;
  if (platform.description.type == PlateType::eight_component)
    origin.z() *= -1.0;
  else
    origin *= -1.0;
  platform.remarks.emplace_back(
      "ORIGIN would put the sensors above the surface; its sign was turned");
}

Result<ForcePlatform> force_platform(const File& file, std::size_t index, std::size_t plate_count,
                                     const Eigen::Matrix3d& to_lab) {
  const std::string where = fmt::format("{}, force plate {}", file.name, index + 1);
  const auto type = numbers_of(file, "FORCE_PLATFORM:TYPE", 1, index);
  if (!type) return missing_entry(where, "FORCE_PLATFORM:TYPE", index);
  const double type_number = type->front();
  if (!(type_number >= 1.0 && type_number <= 4.0) || std::floor(type_number) != type_number)
    return fail(where, fmt::format("is of type {}, where 1 to 4 can be read", type_number));
  ForcePlatform platform;
  platform.number = static_cast<int>(index) + 1;
  PlateDescription& description = platform.description;
  description.type = static_cast<PlateType>(static_cast<int>(type_number));

  const auto corners = numbers_of(file, "FORCE_PLATFORM:CORNERS", 12, index);
  if (!corners) return missing_entry(where, "FORCE_PLATFORM:CORNERS", index);
  for (std::size_t i = 0; i < 4; ++i)
    description.corners[i] =
        file.metres_per_unit * to_lab * Eigen::Map<const Eigen::Vector3d>(corners->data() + 3 * i);
  if (description.type != PlateType::centre_of_pressure) {
    const auto origin = numbers_of(file, "FORCE_PLATFORM:ORIGIN", 3, index);
    if (!origin) return missing_entry(where, "FORCE_PLATFORM:ORIGIN", index);
    description.origin = file.metres_per_unit * Eigen::Map<const Eigen::Vector3d>(origin->data());
  }
  auto channels = plate_channels(file, description.type, index, plate_count, where);
  if (!channels) return tl::make_unexpected(channels.error());
  platform.channels = std::move(*channels);
  const Eigen::VectorXd factors =
      component_factors(file, description.type, platform.channels, platform.remarks);
  description.sensitivity = factors.asDiagonal();
  if (description.type == PlateType::six_component_matrix) {
    const auto matrix = calibration_matrix(file, index, where);
    if (!matrix) return tl::make_unexpected(matrix.error());
    description.sensitivity *= *matrix;
  }

  const auto map = plate::WrenchMap::make(description);
  if (!map)
    return fail(fmt::format("{}, {}", where, map.error().where), map.error().what,
                map.error().advice);
  settle_origin_sign(map->frame(), platform);
  const Eigen::MatrixXd values = scaled(file.analog, platform.channels);
  const Eigen::VectorXd force = vertical_force(*map, values);
  const LoadRange range = load_range(force);
  platform.loaded = range.loaded();
  if (platform.loaded && range.peak < range.rest) description.reaction_sign *= -1.0;
  settle_baseline(file, force, values, range, platform);
  return platform;
}

// One system writes all plates of a file alike, so a plate that was hardly loaded has the sign on
// which those that were agree.
void settle_unloaded_signs(std::vector<Result<ForcePlatform>>& platforms) {
  std::optional<double> agreed;
  for (const auto& platform : platforms) {
    if (!platform || !platform->loaded) continue;
    const double sign = platform->description.reaction_sign;
    if (agreed && *agreed != sign) return;
    agreed = sign;
  }
  for (auto& platform : platforms)
    if (agreed && platform && !platform->loaded) platform->description.reaction_sign = *agreed;
}

}  // namespace

Result<std::vector<Result<ForcePlatform>>> force_platforms(const File& file,
                                                           const Eigen::Matrix3d& to_lab) {
  const double* used = number(file.parameters, "FORCE_PLATFORM:USED");
  if (used == nullptr)
    return fail(file.name, "describes no force plates: FORCE_PLATFORM:USED is missing");
  // A dimension of the describing arrays is one byte.
  constexpr double most_plates = 255.0;
  if (!(*used >= 1.0 && *used <= most_plates))
    return fail(file.name, fmt::format("FORCE_PLATFORM:USED says {} force plates", *used));
  const auto count = static_cast<std::size_t>(*used);
  std::vector<Result<ForcePlatform>> platforms;
  platforms.reserve(count);
  for (std::size_t i = 0; i < count; ++i)
    platforms.push_back(force_platform(file, i, count, to_lab));
  settle_unloaded_signs(platforms);
  return platforms;
}

}  // namespace moundwork::c3d
