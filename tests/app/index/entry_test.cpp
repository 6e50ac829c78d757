// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/entry.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "app/index/made_session.h"
#include "support/folder.h"

using namespace moundwork;

TEST_CASE("lab entry: means leave excluded and unknown values out", "[app][index]") {
  std::vector<index::ThrowEntry> throws(4);
  const auto speed = static_cast<std::size_t>(definitions::Quantity::ball_speed);
  throws[0].quantities[speed] = {35.0, 0.3};
  throws[1].quantities[speed] = {37.0, 0.4};
  throws[2].quantities[speed] = {99.0, 0.4};
  throws[2].excluded = true;  // throws[3] stays unknown
  const auto means = index::means_of(throws);
  REQUIRE(means.size() == 1);
  CHECK(means[0].quantity == definitions::Quantity::ball_speed);
  CHECK(means[0].n == 2);
  CHECK(means[0].mean == Approx(36.0));
  CHECK(means[0].sd == Approx(std::sqrt(2.0)));
  CHECK(means[0].u == Approx(std::sqrt((0.09 + 0.16) / 2.0)));
  CHECK(means[0].lowest == 35.0);
  CHECK(means[0].highest == 37.0);

  throws[1].excluded = true;
  CHECK(std::isnan(index::means_of(throws)[0].sd));
}

TEST_CASE("lab entry: NIST's hard case for a spread", "[app][index]") {
  // StRD univariate set NumAcc4: 1001 values around 10000000.2, certified mean 10000000.2 and
  // standard deviation 0.1.
  std::vector<index::ThrowEntry> throws(1001);
  for (std::size_t i = 0; i < throws.size(); ++i)
    throws[i].quantities[0] = {10000000.0 + (i == 0 ? 0.2 : i % 2 == 1 ? 0.1 : 0.3), 0.0};
  const auto means = index::means_of(throws);
  CHECK(means[0].mean == Approx(10000000.2).epsilon(1e-15));
  CHECK(means[0].sd == Approx(0.1).epsilon(1e-7));
}

TEST_CASE("lab entry: what a session file and its companion say", "[app][index]") {
  const support::Folder folder;
  test::MadeSession made;
  test::write(folder / "a.h5", made);
  test::require(
      session::append_edit(folder / "a.h5", test::exclusion(20.0, "2026-03-02T08:00:00Z")));
  const auto entry = index::read_entry(folder / "a.h5");
  REQUIRE(entry);
  CHECK(entry->id == made.id);
  CHECK(entry->identity() == "A-01");
  CHECK(entry->changed() == "2026-03-02T08:00:00Z");
  REQUIRE(entry->throws.size() == 3);
  CHECK_FALSE(entry->throws[0].excluded);
  CHECK(entry->throws[1].excluded);
  CHECK(entry->throws[1].why == "slipped on the landing");
  CHECK(entry->throws[0].flags == "no_trigger");
  CHECK(entry->bytes > std::filesystem::file_size(folder / "a.h5"));

  test::MadeSession damaged;
  damaged.throws[1].contact = std::numeric_limits<double>::quiet_NaN();
  write(folder / "damaged.h5", damaged);
  const auto refused = index::read_entry(folder / "damaged.h5");
  REQUIRE_FALSE(refused);
  CHECK(refused.error().sentence().find("throw 2 has no time") != std::string::npos);

  CHECK_FALSE(index::read_entry(folder / "none.h5"));
  CHECK_FALSE(index::read_entry(session::companion_path(folder / "a.h5")));
  made.id.clear();
  test::write(folder / "b.h5", made);
  const auto nameless = index::read_entry(folder / "b.h5");
  REQUIRE_FALSE(nameless);
  CHECK(nameless.error().sentence().find("identity") != std::string::npos);
}
