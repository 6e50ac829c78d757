// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/marks/frame_marks.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>

#include "core/session/edit_state.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::marks;

TEST_CASE("a frame's time from contact carries half a frame of doubt at each end") {
  const FrameMark mark{BodyMark::greatest_trunk_stretch, 412, 400, 240};
  const Measured time = from_contact(mark);
  CHECK(time.value == Approx(0.050));
  // JCGM 100, 4.3.7: a uniform distribution of half-width a has u = a / sqrt 3; two of them.
  const double a = 1.0 / 480.0;
  CHECK(time.u == Approx(std::sqrt(a * a / 3.0 + a * a / 3.0)));
}

TEST_CASE("early, on time and late are the coach's limits, and doubt is said") {
  const WantedTime wanted{-0.010, 0.010};
  CHECK(judge({0.0, 0.002}, wanted) == Timing::on_time);
  CHECK(judge({-0.010, 0.002}, wanted) == Timing::on_time);
  CHECK(judge({-0.020, 0.002}, wanted) == Timing::early);
  CHECK(judge({0.020, 0.002}, wanted) == Timing::late);
  CHECK(judge({0.013, 0.002}, wanted) == Timing::cannot_tell);
  CHECK(judge({-0.013, 0.002}, wanted) == Timing::cannot_tell);
}

TEST_CASE("marks go through the list of edits and come back, the last of a kind standing") {
  std::vector<session::Edit> edits{to_edit({BodyMark::greatest_trunk_stretch, 412, 400, 240}, 12.5),
                                   to_edit({BodyMark::chest_facing_plate, 420.5, 400, 240}, 12.501),
                                   to_edit({BodyMark::greatest_trunk_stretch, 410, 400, 240}, 12.5),
                                   to_edit({BodyMark::release, 433, 400, 240}, 99.0)};
  for (session::Edit& edit : edits) edit.id = session::new_edit_id();
  auto marks = marks_of(edits, 12.5);
  REQUIRE(marks.size() == 2);
  CHECK(marks[0].mark == BodyMark::greatest_trunk_stretch);
  CHECK(marks[0].frame == 410.0);
  CHECK(marks[1].frame == 420.5);
  edits.push_back(session::undo_of(edits[2]));
  marks = marks_of(edits, 12.5);
  REQUIRE(marks.size() == 2);
  CHECK(marks[0].frame == 412.0);
}

TEST_CASE("frames that no camera took are refused in a sentence") {
  CHECK_FALSE(check({BodyMark::release, 10, 0, 0.0}, "the mark"));
  CHECK_FALSE(check({BodyMark::release, -1, 0, 240}, "the mark"));
  CHECK_FALSE(check({BodyMark::release, 5000, 0, 240}, "the mark"));
  CHECK_FALSE(check({BodyMark::release, std::nan(""), 0, 240}, "the mark"));
  CHECK(check({BodyMark::release, 430, 400, 240}, "the mark"));
}

TEST_CASE("a release that is given comes after the landing; the trunk may be before it") {
  CHECK(check_given({BodyMark::release, 430, 400, 240}, "the mark"));
  CHECK_FALSE(check_given({BodyMark::release, 400, 400, 240}, "the mark"));
  CHECK_FALSE(check_given({BodyMark::release, 380, 400, 240}, "the mark"));
  CHECK_FALSE(check_given({BodyMark::release, -1, 0, 240}, "the mark"));
  CHECK(check_given({BodyMark::greatest_trunk_stretch, 395, 400, 240}, "the mark"));
}

TEST_CASE("a table of marks is read, and its mistakes are named by line") {
  const support::Folder folder;
  const auto path = folder / "marks.csv";
  std::ofstream(path) << "throw,mark,frame,contact_frame,rate\n"
                         "1,greatest_trunk_stretch,412,400,240\n"
                         "2,release,433,400,240\n";
  const auto marks = read_frame_marks(path);
  REQUIRE(marks);
  REQUIRE(marks->size() == 2);
  CHECK((*marks)[1].throw_number == 2);
  CHECK((*marks)[1].mark.mark == BodyMark::release);

  std::ofstream(path) << "throw,mark,frame,contact_frame,rate\n1,elbow,412,400,240\n";
  const auto unknown = read_frame_marks(path);
  REQUIRE_FALSE(unknown);
  CHECK(unknown.error().sentence().find("line 2") != std::string::npos);
  std::ofstream(path) << "throw,mark,frame,contact_frame,rate\n1.5,release,412,400,240\n";
  CHECK_FALSE(read_frame_marks(path));
  std::ofstream(path) << "throw,mark,frame\n1,release,412\n";
  CHECK_FALSE(read_frame_marks(path));
}
