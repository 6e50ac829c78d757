// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/measured.h"
#include "core/base/result.h"
#include "core/plate/geometry.h"
#include "core/session/session.h"
#include "core/table/delimited.h"

/// How the columns of a delimited file become a session (docs/delimited-import.md). All values here
/// are SI and in the lab frame; what the settings leave out may come from elsewhere.
namespace moundwork::table {

struct TimeColumn {
  std::string name;
  double seconds_per_unit = 1.0;
};

struct PlateColumns {
  session::PlateRole role = session::PlateRole::back;
  std::vector<std::string> names;  ///< one a channel, in the order of the plate's type
  std::vector<std::string> units;  ///< after scaling: SI, or the sensitivity matrix's input unit
  std::vector<double> factors;     ///< from the file's values to `units`
  plate::PlateDescription description;
  session::PlateAccuracy accuracy;
};

struct AthleteSettings {
  std::string id;
  std::string name;
  std::string born;  ///< ISO 8601 date
  std::optional<session::Hand> throws;
  Measured mass;    ///< kg
  Measured height;  ///< m
};

struct ImportSettings {
  DelimitedOptions file;
  /// Exactly one of the two is set.
  std::optional<TimeColumn> time_column;
  std::optional<double> sample_rate;  ///< Hz
  Eigen::Matrix3d to_lab = Eigen::Matrix3d::Identity();
  std::vector<PlateColumns> plates;  ///< one or two, of different roles
  AthleteSettings athlete;
  std::optional<session::KnownBallSpeed> ball_speed;
  std::optional<session::KnownRelease> release;
  std::optional<session::FootLine> foot_line;
};

[[nodiscard]] Result<ImportSettings> read_import_settings(const std::filesystem::path& path);

/// The same from memory; `name` stands for the file in sentences. Every error names the line.
[[nodiscard]] Result<ImportSettings> parse_import_settings(std::string_view toml,
                                                           const std::string& name);

}  // namespace moundwork::table
