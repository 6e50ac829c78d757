// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/traces.h"

#include <vector>

#include "core/base/unknown.h"
#include "core/foot/heel_toe.h"
#include "core/output/csv.h"
#include "core/plate/wrench.h"

namespace moundwork::output {
namespace {

std::vector<double> cells_of(const Eigen::ArrayXd& values) {
  return {values.begin(), values.end()};
}

// 1 where a row was recorded, NaN where it only bridges a gap.
Eigen::ArrayXd recorded(const foot::PlateWindow& window) {
  Eigen::ArrayXd seen = Eigen::ArrayXd::Ones(window.size());
  // Times come from a clock's fit, so a row at a gap's very edge may lie either side of it.
  constexpr double edge = 1e-3;  // of a step
  for (const foot::TimeSpan& gap : window.gaps)
    for (Eigen::Index i = 0; i < window.size(); ++i) {
      const double index = static_cast<double>(i);
      if (index > window.index(gap.begin) + edge && index < window.index(gap.end) - edge)
        seen(i) = unknown;
    }
  return seen;
}

}  // namespace

Table trace_table(const foot::PlateWindow& window,
                  const std::optional<session::FootLine>& foot_line,
                  const definitions::Settings& settings) {
  const Eigen::ArrayXd seen = recorded(window);
  const Eigen::ArrayXd vertical = window.wrench.col(2);
  auto cop = plate::centre_of_pressure(window.wrench, window.frame, settings.least_turning_force);
  for (Eigen::Index i = 0; i < cop.rows(); ++i)
    if (vertical(i) < settings.least_cop_force) cop.row(i).setConstant(unknown);

  // A tenth of a millinewton and a micrometre lie below what any plate resolves.
  constexpr int force_digits = 4;
  constexpr int length_digits = 6;
  constexpr int percent_digits = 3;
  Eigen::ArrayXd times(window.size());
  for (Eigen::Index i = 0; i < times.size(); ++i) times(i) = window.time(static_cast<double>(i));
  Table table{"trace",
              {{"time", "s", "session time of the sample", cells_of(times),
                time_digits(1.0 / window.step)}}};
  const auto add = [&](const char* name, const char* unit, const char* definition,
                       const Eigen::ArrayXd& values, int digits) {
    table.columns.push_back({name, unit, definition, cells_of(values * seen), digits});
  };
  add("force_x", "N", "force of the ground on the athlete toward home plate", window.wrench.col(0),
      force_digits);
  add("force_y", "N", "the same to the left of someone facing home", window.wrench.col(1),
      force_digits);
  add("force_z", "N", "the same upward", vertical, force_digits);
  add("cop_x", "m", "centre of pressure on the plate's surface, from the rubber toward home",
      cop.col(0), length_digits);
  add("cop_y", "m", "the same to the left of someone facing home", cop.col(1), length_digits);
  if (foot_line) {
    const foot::HeelToeLine line(foot_line->heel.head<2>(), foot_line->toe.head<2>());
    const Eigen::ArrayXd along =
        cop.col(0).binaryExpr(cop.col(1), [&](double x, double y) { return line.percent(x, y); });
    add("heel_toe", "%", "the centre of pressure along the foot: 0 heel, 100 toe", along,
        percent_digits);
  }
  return table;
}

}  // namespace moundwork::output
