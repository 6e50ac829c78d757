// SPDX-License-Identifier: GPL-3.0-or-later
// What the page of relations says, without the page.
#include <catch2/catch.hpp>
#include <limits>

#include "app/desk/relate/relation_table.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

relate::Change change(const std::string& athlete, const std::string& key, const std::string& unit,
                      double difference, double limit, bool days_known = true) {
  relate::Change made;
  made.athlete = athlete;
  made.quantity = {key, unit};
  made.difference = difference;
  made.limit = limit;
  const bool beyond = std::abs(difference) > limit;
  made.word = !beyond      ? relate::ChangeWord::within
              : days_known ? relate::ChangeWord::beyond_days
                           : relate::ChangeWord::beyond_scatter;
  made.real = made.word == relate::ChangeWord::beyond_days;
  return made;
}

}  // namespace

TEST_CASE("a correlation of too few throws says so in words", "[relate]") {
  CHECK(correlation_text({0.62, 10.0, 0.03, 0.21, 0.84}) == "0.62 (0.21 to 0.84)");
  CHECK(correlation_text({-0.62, 10.0, 0.03, -0.84, -0.21}) == "−0.62 (−0.84 to −0.21)");
  CHECK(correlation_text({1.0, 0.0, unknown, unknown, unknown}) ==
        "1.00 (too few for an interval)");
}

TEST_CASE("two throws lie on a line whatever they are, so they are not listed", "[relate]") {
  relate::Report report;
  report.relations.resize(2);
  report.relations[0].athletes = report.relations[1].athletes = 1;
  report.relations[0].repeated_measures = {1.0, 0.0, unknown, unknown, unknown};
  report.relations[1].repeated_measures = {0.3, 8.0, 0.4, -0.4, 0.8};
  CHECK(by_strength(report) == std::vector<std::size_t>{1});
}

TEST_CASE("changes stand in order, those beyond days first, with sign and readable digits",
          "[relate]") {
  relate::ChangeReport report;
  report.changes = {
      change("A1", "braking_impulse", "N s", 4.0, 9.0),
      change("A1", "braking_rate_mean", "N/s", 1683.7, 410.0),
      change("A2", "heel_toe_at_drive_peak", "%", -13.2, 4.0),
      change("A1", "balance_path_length", "m", -0.000156, 0.02),
      change("A1", "stride_length", "m", 0.1, unknown),
      change("A2", "ball_speed", "mph", unknown, unknown),
  };
  CHECK(changes_to_show(report, "", true) == std::vector<std::size_t>{1, 2});
  CHECK(changes_to_show(report, "", false) == std::vector<std::size_t>{1, 2, 0, 3, 4});
  CHECK(changes_to_show(report, "A2", false) == std::vector<std::size_t>{2});
  report.changes.push_back(change("A1", "drive_impulse", "N s", 90.0, 1.0, false));
  CHECK(changes_to_show(report, "", true) == std::vector<std::size_t>{1, 2, 6});
  CHECK(change_word(report.changes[1]) == "beyond days");
  CHECK(change_word(report.changes[6]) == "beyond scatter");
  CHECK(change_word(report.changes[0]) == "may be chance");
  CHECK(difference_text(report.changes[1]) == "+1684 N/s");
  CHECK(limit_text(report.changes[1]) == "410 N/s");
  CHECK(difference_text(report.changes[2]) == "−13.2 % of the foot");
  CHECK(difference_text(report.changes[3]) == "−0.0002 m");
  CHECK(limit_text(report.changes[4]).empty());
}

TEST_CASE("the words under the changes name growth and what is missing", "[relate]") {
  relate::ChangeReport report;
  report.changes = {change("A1", "braking_impulse", "N s", 4.0, 9.0)};
  CHECK(change_words(report, "") ==
        "Nothing has changed by more than these sessions' own scatter explains.");
  report.changes[0].growth = relate::Growth{{}, {}, "A growth sentence."};
  CHECK(change_words(report, "").ends_with("explains. A growth sentence."));
  report.changes[0].source = relate::LimitSource::pitches;
  CHECK(change_words(report, "").ends_with("named as a retest."));
}

TEST_CASE("only sessions within a week of the open one may be named for it", "[relate]") {
  session::Athlete athlete;
  athlete.id = "A1";
  session::Athlete other;
  other.id = "A2";
  const session::RetestSide open{"now.h5", "now", "2026-05-08", athlete};
  const auto choices = retest_choices({{"far.h5", "far", "2026-04-30", athlete},
                                       {"near.h5", "near", "2026-05-01", athlete},
                                       open,
                                       {"else.h5", "else", "2026-05-08", other}},
                                      open);
  REQUIRE(choices.size() == 1);
  CHECK(choices[0].id == "near");
}

TEST_CASE("the help of a number says what it is and its range in these throws", "[relate]") {
  relate::Pitches pitches;
  pitches.quantities = {{"drive_peak_force_bw", "BW"}};
  for (const double value : {0.412, unknown, 0.688}) {
    relate::Pitch row;
    row.quantities = {Measured{value}};
    pitches.rows.push_back(row);
  }
  CHECK(
      number_help(pitches, pitches.quantities[0]) ==
      "Drive peak force per body weight: drive peak force divided by body weight. In these throws "
      "0.412 BW to 0.688 BW.");
  CHECK(number_help(pitches, {"column", ""}).empty());
}
