// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/intake/delimited_import.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <iomanip>

#include "core/session/reader.h"
#include "core/session/sample_clock.h"
#include "support/folder.h"

using namespace moundwork;

namespace {

constexpr const char* settings_text = R"([time]
column = "t"
unit = "ms"

[[plate]]
role = "back"
type = 2
columns = ["bx", "by", "bz", "bmx", "bmy", "bmz"]
units = ["N", "N", "N", "N mm", "N mm", "N mm"]
corners = [[0.3, 0.2, 0], [0.3, -0.2, 0], [-0.3, -0.2, 0], [-0.3, 0.2, 0]]
origin = [0, 0, -0.04]
)";

void write_table(const std::filesystem::path& path, bool backwards = false) {
  std::ofstream out(path);
  out << "t,bx,by,bz,bmx,bmy,bmz\n";
  for (int i = 0; i < 100; ++i) {
    if (i >= 40 && i < 50) continue;  // ten samples lost
    const int t = backwards && i == 70 ? 10 : i;
    out << 500 + t << ",1,2,";
    if (i == 20)
      out << ",";  // an empty cell
    else
      out << 800 + i << ",";
    out << "3000,4000,5000\n";
  }
}

intake::Facts facts() {
  intake::Facts facts;
  facts.throws = session::Hand::right;
  facts.mass = {80.0, 0.1};
  return facts;
}

}  // namespace

TEST_CASE("rows of a table become samples and what is missing becomes gaps") {
  support::Folder folder;
  std::ofstream(folder / "s.toml") << settings_text;
  write_table(folder / "t.csv");
  const auto report =
      intake::import_delimited(folder / "t.csv", folder / "s.toml", facts(), folder / "t.h5");
  INFO((report ? "" : report.error().sentence()));
  REQUIRE(report);
  CHECK(report->duration == Approx(0.1));
  CHECK(report->remarks.size() == 2);
  const auto reader = session::Reader::open(folder / "t.h5");
  REQUIRE(reader);
  REQUIRE(reader->sample_count(0) == 89);
  const auto clock =
      session::SampleClock::make(reader->session().devices[0], reader->blocks(0).value(), 89);
  REQUIRE(clock);
  REQUIRE(clock->runs().size() == 3);
  CHECK(clock->runs()[1].missing_before == 1);
  CHECK(clock->runs()[2].missing_before == 10);
  CHECK(seconds(clock->at(clock->runs()[2], clock->runs()[2].first_row)) == Approx(0.050));
  CHECK(clock->u() == 0.0);
  // Row 19 is the last before the empty cell, row 20 the next after it.
  CHECK((*reader->read_raw(0, 20, 1))(0, 2) == 821.0);
  CHECK(reader->session().devices[0].channels[3].scale == Approx(0.001));
}

TEST_CASE("a table's rate is that of all its rows, however their times are written") {
  support::Folder folder;
  const auto rate_of = [&](double rate, const char* unit, double per_second, int digits) {
    std::string settings = settings_text;
    settings.replace(settings.find("\"ms\""), 4, '"' + std::string(unit) + '"');
    std::ofstream(folder / "r.toml") << settings;
    std::ofstream out(folder / "r.csv");
    out << "t,bx,by,bz,bmx,bmy,bmz\n" << std::fixed << std::setprecision(digits);
    for (int i = 0; i < 6000; ++i) out << i / rate * per_second << ",1,2,800,3000,4000,5000\n";
    out.close();
    std::filesystem::remove(folder / "r.h5");
    const auto report =
        intake::import_delimited(folder / "r.csv", folder / "r.toml", facts(), folder / "r.h5");
    INFO((report ? "" : report.error().sentence()));
    REQUIRE(report);
    CHECK(report->remarks.empty());
    CHECK(report->duration == Approx(6000 / rate).epsilon(1e-4));
    return session::Reader::open(folder / "r.h5")->session().devices[0].sample_rate;
  };
  CHECK(rate_of(1000.0, "s", 1.0, 3) == 1000.0);
  CHECK(rate_of(1000.0, "ms", 1e3, 0) == 1000.0);
  CHECK(rate_of(1000.0, "us", 1e6, 0) == 1000.0);
  CHECK(rate_of(1200.0, "s", 1.0, 4) == Approx(1200.0).epsilon(5e-5));
  CHECK(rate_of(240.0, "s", 1.0, 3) == Approx(240.0).epsilon(5e-5));
}

TEST_CASE("a table that cannot be trusted leaves no session behind") {
  support::Folder folder;
  std::ofstream(folder / "s.toml") << settings_text;
  write_table(folder / "t.csv", true);
  const auto backwards =
      intake::import_delimited(folder / "t.csv", folder / "s.toml", facts(), folder / "t.h5");
  REQUIRE_FALSE(backwards);
  CHECK(backwards.error().sentence().find("runs back") != std::string::npos);
  auto unknown = facts();
  unknown.mass = {};
  write_table(folder / "u.csv");
  const auto massless =
      intake::import_delimited(folder / "u.csv", folder / "s.toml", unknown, folder / "t.h5");
  REQUIRE_FALSE(massless);
  CHECK(massless.error().sentence() ==
        "body mass: is not given; give it with its unit, as in 88.5kg.");
  auto light = facts();
  light.mass = {0.08, 0.0};
  CHECK_FALSE(
      intake::import_delimited(folder / "u.csv", folder / "s.toml", light, folder / "t.h5"));
  std::ofstream(folder / "e.csv") << "t,bx,by,bz,bmx,bmy,bmz\n";
  CHECK_FALSE(
      intake::import_delimited(folder / "e.csv", folder / "s.toml", facts(), folder / "t.h5"));
  CHECK_FALSE(std::filesystem::exists(folder / "t.h5"));
  CHECK_FALSE(std::filesystem::exists(folder / "t.h5.part"));
}
