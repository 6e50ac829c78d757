// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/series.h"

#include <cmath>

namespace moundwork::relate {
namespace {

// Joins labels so that ("a", "bc") and ("ab", "c") stay apart.
constexpr char separator = '\x1f';

template <class Label>
stats::Groups group_rows(const Pitches& pitches, std::span<const int> rows, Label label) {
  std::vector<std::string> labels;
  labels.reserve(rows.size());
  for (const int row : rows) labels.push_back(label(pitches.rows[static_cast<std::size_t>(row)]));
  return stats::group_by(labels);
}

template <class Value>
Eigen::VectorXd column(const Pitches& pitches, std::span<const int> rows, Value value) {
  Eigen::VectorXd out(static_cast<Eigen::Index>(rows.size()));
  for (std::size_t i = 0; i < rows.size(); ++i)
    out[static_cast<Eigen::Index>(i)] = value(pitches.rows[static_cast<std::size_t>(rows[i])]);
  return out;
}

}  // namespace

Rows rows_of_athletes(const Pitches& pitches) {
  Rows rows;
  for (std::size_t i = 0; i < pitches.rows.size(); ++i)
    if (!pitches.rows[i].athlete.empty()) rows.push_back(static_cast<int>(i));
  return rows;
}

Rows rows_with_speed(const Pitches& pitches) {
  return rows_with(pitches, rows_of_athletes(pitches), -1);
}

Rows rows_with(const Pitches& pitches, std::span<const int> rows, int index) {
  Rows kept;
  for (const int row : rows)
    if (value_of(pitches.rows[static_cast<std::size_t>(row)], index).known()) kept.push_back(row);
  return kept;
}

const Measured& value_of(const Pitch& pitch, int index) {
  return index < 0 ? pitch.ball_speed : pitch.quantities.at(static_cast<std::size_t>(index));
}

const Quantity& quantity_of(const Pitches& pitches, int index) {
  return index < 0 ? pitches.ball_speed : pitches.quantities.at(static_cast<std::size_t>(index));
}

Eigen::VectorXd values(const Pitches& pitches, std::span<const int> rows, int index) {
  return column(pitches, rows, [&](const Pitch& pitch) { return value_of(pitch, index).value; });
}

Eigen::VectorXd numbers(const Pitches& pitches, std::span<const int> rows) {
  return column(pitches, rows, [](const Pitch& pitch) { return pitch.number; });
}

stats::Groups by_athlete(const Pitches& pitches, std::span<const int> rows) {
  return group_rows(pitches, rows, [](const Pitch& pitch) { return pitch.athlete; });
}

stats::Groups by_session(const Pitches& pitches, std::span<const int> rows) {
  return group_rows(pitches, rows,
                    [](const Pitch& pitch) { return pitch.athlete + separator + pitch.session; });
}

double mean_square_uncertainty(const Pitches& pitches, std::span<const int> rows, int index) {
  double sum = 0.0;
  int known = 0;
  for (const int row : rows) {
    const double u = value_of(pitches.rows[static_cast<std::size_t>(row)], index).u;
    if (!std::isfinite(u)) continue;
    sum += u * u;
    ++known;
  }
  return known > 0 ? sum / known : std::numeric_limits<double>::quiet_NaN();
}

}  // namespace moundwork::relate
