// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/identity.h"

#include <catch2/catch.hpp>

using namespace moundwork::session;

TEST_CASE("an athlete is known by id, else by name", "[session]") {
  Athlete athlete;
  CHECK(identity_of(athlete).empty());
  athlete.name = "Otto Lang";
  CHECK(identity_of(athlete) == "Otto Lang");
  athlete.id = "A01";
  CHECK(identity_of(athlete) == "A01");
}

TEST_CASE("another name or date of birth may be another person", "[session]") {
  CHECK(two_people("Old Pupil", "2009-01-01", "New Kid", "2012-01-01"));
  CHECK(two_people("Old Pupil", "", "New Kid", ""));
  CHECK(two_people("Old Pupil", "2009-01-01", "Old Pupil", "2012-01-01"));
  CHECK_FALSE(two_people("Old Pupil", "2009-01-01", "old  pupil", "2009-01-01"));
  CHECK_FALSE(two_people("Mara Quill", "", "Mara Quill-Ost", ""));
  CHECK_FALSE(two_people("Old Pupil", "2009-01-01", "", ""));
}
