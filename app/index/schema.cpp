// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/schema.h"

namespace moundwork::index {
namespace {

using namespace Qt::StringLiterals;

// A throw's row has a column for each quantity, not a row: forty-odd times fewer rows to write and
// to delete, and one that people can read with a query of one line.
QString throws_table(const QStringList& quantities) {
  QString columns;
  for (const QString& quantity : quantities)
    columns += u", "_s + quantity + u" DOUBLE PRECISION, "_s + quantity + u"_u DOUBLE PRECISION"_s;
  return uR"(CREATE TABLE throws (
    session TEXT NOT NULL REFERENCES sessions (id) ON DELETE CASCADE,
    number INTEGER NOT NULL,
    contact DOUBLE PRECISION NOT NULL,
    excluded INTEGER NOT NULL,
    why TEXT NOT NULL,
    flags TEXT NOT NULL%1,
    PRIMARY KEY (session, number)))"_s.arg(columns);
}

SchemaStep first_step() {
  return {
      1,
      {uR"(CREATE TABLE athletes (
             id TEXT PRIMARY KEY,
             name TEXT NOT NULL,
             throws TEXT NOT NULL,
             born TEXT NOT NULL,
             as_of TEXT NOT NULL))"_s,
       uR"(CREATE TABLE sessions (
             id TEXT PRIMARY KEY,
             athlete TEXT REFERENCES athletes (id),
             started TEXT NOT NULL,
             origin TEXT NOT NULL,
             age INTEGER,
             mass DOUBLE PRECISION,
             height DOUBLE PRECISION,
             surface TEXT NOT NULL,
             made TEXT NOT NULL,
             software TEXT NOT NULL,
             changed TEXT NOT NULL,
             throw_count INTEGER NOT NULL,
             excluded_count INTEGER NOT NULL))"_s,
       u"CREATE INDEX sessions_of_athlete ON sessions (athlete, started)"_s,
       uR"(CREATE TABLE locations (
             session TEXT NOT NULL REFERENCES sessions (id) ON DELETE CASCADE,
             station TEXT NOT NULL,
             path TEXT NOT NULL,
             seen TEXT NOT NULL,
             bytes BIGINT NOT NULL,
             PRIMARY KEY (station, path)))"_s,
       u"CREATE INDEX locations_of_session ON locations (session)"_s,
       throws_table({u"ball_speed"_s,
                     u"drive_peak_force"_s,
                     u"drive_peak_force_bw"_s,
                     u"drive_impulse"_s,
                     u"drive_impulse_per_mass"_s,
                     u"drive_impulse_to_foot_off"_s,
                     u"drive_impulse_to_foot_off_per_mass"_s,
                     u"heel_toe_at_drive_peak"_s,
                     u"heel_toe_load_mean"_s,
                     u"heel_toe_drive_mean"_s,
                     u"heel_toe_travel"_s,
                     u"heel_drive_share"_s,
                     u"load_direction"_s,
                     u"load_tilt"_s,
                     u"braking_peak_force"_s,
                     u"braking_peak_force_bw"_s,
                     u"vertical_peak_force"_s,
                     u"vertical_peak_force_bw"_s,
                     u"braking_impulse"_s,
                     u"braking_impulse_per_mass"_s,
                     u"braking_impulse_to_peak"_s,
                     u"braking_impulse_to_peak_per_mass"_s,
                     u"braking_impulse_whole"_s,
                     u"braking_impulse_whole_per_mass"_s,
                     u"braking_timing"_s,
                     u"contact_to_release"_s,
                     u"braking_fraction_by_release"_s,
                     u"braking_rate_greatest"_s,
                     u"braking_rate_greatest_bw"_s,
                     u"braking_rate_mean"_s,
                     u"braking_rate_mean_bw"_s,
                     u"vertical_rate_greatest"_s,
                     u"vertical_rate_greatest_bw"_s,
                     u"vertical_rate_mean"_s,
                     u"vertical_rate_mean_bw"_s,
                     u"both_feet_overlap"_s,
                     u"drive_peak_to_contact"_s,
                     u"momentum_at_contact"_s,
                     u"momentum_at_release"_s,
                     u"turning_impulse_before_contact"_s,
                     u"turning_impulse_after_contact"_s,
                     u"stride_length"_s,
                     u"stride_length_height"_s,
                     u"balance_path_length"_s,
                     u"balance_sway_area"_s}),
       // Age and athlete again, so that a group is answered from one index alone.
       uR"(CREATE TABLE means (
             session TEXT NOT NULL REFERENCES sessions (id) ON DELETE CASCADE,
             quantity TEXT NOT NULL,
             athlete TEXT NOT NULL,
             started TEXT NOT NULL,
             age INTEGER,
             n INTEGER NOT NULL,
             mean DOUBLE PRECISION NOT NULL,
             sd DOUBLE PRECISION,
             u DOUBLE PRECISION,
             lowest DOUBLE PRECISION NOT NULL,
             highest DOUBLE PRECISION NOT NULL,
             PRIMARY KEY (session, quantity)))"_s,
       u"CREATE INDEX means_of_quantity ON means (quantity, athlete, started, age, n, mean, u, session)"_s,
       uR"(CREATE TABLE edits (
             session TEXT NOT NULL REFERENCES sessions (id) ON DELETE CASCADE,
             position INTEGER NOT NULL,
             made TEXT NOT NULL,
             who TEXT NOT NULL,
             why TEXT NOT NULL,
             throw_contact DOUBLE PRECISION,
             action TEXT NOT NULL,
             target TEXT NOT NULL,
             value DOUBLE PRECISION,
             words TEXT NOT NULL,
             PRIMARY KEY (session, position)))"_s}};
}

// Deletion: what was written for an athlete, what could not be removed and why, and which sessions
// must not come back with a copy.
SchemaStep deletion_step() {
  return {2,
          {u"ALTER TABLE athletes ADD COLUMN forgotten TEXT NOT NULL DEFAULT ''"_s,
           u"ALTER TABLE locations ADD COLUMN problem TEXT NOT NULL DEFAULT ''"_s,
           uR"(CREATE TABLE exports (
             station TEXT NOT NULL,
             path TEXT NOT NULL,
             athlete TEXT NOT NULL,
             kind TEXT NOT NULL,
             made TEXT NOT NULL,
             problem TEXT NOT NULL DEFAULT '',
             PRIMARY KEY (station, path, athlete)))"_s,
           u"CREATE INDEX exports_of_athlete ON exports (athlete)"_s,
           uR"(CREATE TABLE forgotten_sessions (
             session TEXT PRIMARY KEY,
             forgotten TEXT NOT NULL))"_s}};
}

// The day by the clock of the session's own place. Rows that are there take the day in UTC, which
// they were sorted by until now; adding their files again, or a rebuild, puts the true one.
SchemaStep day_step() {
  return {3,
          {u"ALTER TABLE sessions ADD COLUMN day TEXT NOT NULL DEFAULT ''"_s,
           u"ALTER TABLE means ADD COLUMN day TEXT NOT NULL DEFAULT ''"_s,
           u"UPDATE sessions SET day = substr(started, 1, 10)"_s,
           u"UPDATE means SET day = substr(started, 1, 10)"_s}};
}

// Whom each session describes: two people under one id are found in whatever order their sessions
// are added. Empty in rows that are there until their files are added again.
SchemaStep people_step() {
  return {4,
          {u"ALTER TABLE sessions ADD COLUMN name TEXT NOT NULL DEFAULT ''"_s,
           u"ALTER TABLE sessions ADD COLUMN born TEXT NOT NULL DEFAULT ''"_s}};
}

}  // namespace

const std::vector<SchemaStep>& schema_steps() {
  static const std::vector<SchemaStep> steps{first_step(), deletion_step(), day_step(),
                                             people_step()};
  return steps;
}

int schema_version() { return schema_steps().back().version; }

}  // namespace moundwork::index
