// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/base/progress.h"
#include "core/base/result.h"
#include "core/definitions/shown_unit.h"
#include "core/people/day_throws.h"
#include "core/relate/session_input.h"
#include "core/relate/verdict.h"
#include "core/safety/pitch_count.h"
#include "core/summary/counted.h"
#include "core/summary/group.h"
#include "core/summary/traces.h"

/// What a page for one athlete says, as plain values and finished words: the pages for paper, for a
/// browser and in a window only place it.
namespace moundwork::summary {

/// Everything of a session that its summary draws on.
struct Source {
  relate::AnalysedSession analysed;
  session::Session session;
  std::optional<int> age;  ///< whole years on the day, kept when the date of birth goes
  CountedThrows counted;
  Traces traces;
};
/// Fails on a file that is no session or has not been analysed.
[[nodiscard]] Result<Source> read_source(const std::filesystem::path& path,
                                         const Progress& progress = {});

/// What stands beside the session.
struct Context {
  definitions::SpeedUnit speed_unit = definitions::SpeedUnit::metre_per_second;
  /// Other sessions, of any athletes and days: the latest of this athlete's before the session is
  /// what it is compared with, and who was measured twice tells how well a quantity repeats.
  std::vector<relate::AnalysedSession> sessions;
  std::optional<Group> group;
  people::DayThrows beside;  ///< what else the athlete threw on the session's day
  safety::PitchCountTable pitch_counts = safety::common_pitch_counts();
  std::string software;   ///< name and version
  bool invented = false;  ///< the athlete is, as in practice: the page says so
};

/// A value with how it stood last time.
struct Change {
  std::string difference;  ///< "+0.4", with the number's unit
  std::string verdict;  ///< "beyond what days differ by (limit 0.3)", "may be chance (limit 1.1)"
  bool real = false;    ///< beyond what days differ by
  bool beyond_scatter = false;  ///< and measurement, while nobody knows what days differ by
};

/// One of the five numbers. Texts are empty where there is nothing to say.
struct Number {
  std::string name;
  std::string value;       ///< "37.1"; empty when not measured
  std::string plus_minus;  ///< half width of the 95 % interval of measurement
  std::string unit;
  std::string range;    ///< least and greatest of the throws; empty with one
  int throws = 0;       ///< that have it
  std::string meaning;  ///< or why it was not measured
  std::optional<Change> change;
  std::string place;           ///< "higher than 3 of 5"
  std::vector<double> others;  ///< of the group, in the shown unit
  double shown = 0.0;          ///< the value in the shown unit
};

/// Ball speed against the quantity that went with it most closely.
struct SpeedAgainst {
  std::string quantity;  ///< plain name
  std::string unit;
  std::string speed_unit;
  std::vector<double> x, y;
  std::optional<std::pair<double, double>> line;  ///< intercept and slope, when shown
  std::string says;
  int tested = 0;  ///< quantities looked at
};

struct Summary {
  std::string who;                  ///< name, or code
  bool invented = false;            ///< in practice
  std::vector<std::string> person;  ///< "right-hander", "19 years", "82.4 kg", "1.85 m"
  std::string when;                 ///< "1 May 2026, 10:32"
  std::vector<std::string> conditions;
  std::string counted;   ///< "12 throws counted", "10 of 12 throws counted"
  std::string excluded;  ///< "2 left out by hand and not counted: ..."; empty if none
  std::vector<Number> numbers;
  std::string change_note;  ///< with what the session was compared, or why not
  std::string group_note;
  std::string uncertainty_note;
  ForceTraces forces;
  std::optional<FootPath> foot;
  std::string no_foot;  ///< why, when absent
  std::optional<SpeedAgainst> against;
  std::string no_against;           ///< why, when absent
  std::vector<std::string> doubts;  ///< what was not measured or is in doubt, with its throws
  std::string no_doubts;            ///< what is said when there is none
  std::vector<std::string> cautions;
  std::string made;  ///< software and session, for the foot of the page

  int throws_found = 0, throws_counted = 0;
};

[[nodiscard]] Summary summarise(const Source& source, const Context& context);

}  // namespace moundwork::summary
