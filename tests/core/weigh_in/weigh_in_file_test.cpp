// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/weigh_in/weigh_in_file.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>

#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::weigh_in;

namespace {

std::string documented_example() {
  std::ifstream file(MOUNDWORK_DOCS "/station-file.md");
  std::ostringstream page;
  page << file.rdbuf();
  const std::string text = page.str();
  const auto section = text.find("## The weigh-in file");
  REQUIRE(section != std::string::npos);
  const auto begin = text.find("```toml\n", section);
  const auto end = text.find("```", begin + 3);
  return text.substr(begin + 8, end - begin - 8);
}

Result<WeighIn> read_text(const support::Folder& folder, const std::string& text) {
  std::ofstream(folder / "w.toml") << text;
  return read_weigh_in(folder / "w.toml");
}

}  // namespace

TEST_CASE("a weigh-in comes back from its file as it was written", "[weigh_in]") {
  const support::Folder folder;
  WeighIn written;
  written.athlete = "Ann \"Lefty\" \\ 7";
  written.station = "north mound";
  written.made = "2026-04-18T09:12:40.000000Z";
  written.mass = {78.4967, 0.1831};
  written.foot_line = session::FootLine{
      {0.07123, 0.11, -0.001}, {0.08, -0.14, 0.0}, 0.0052, session::FootLineSource::stances};
  REQUIRE(write_weigh_in(folder / "w.toml", written));
  const auto read = read_weigh_in(folder / "w.toml");
  if (!read) FAIL(read.error().sentence());
  CHECK(read->athlete == written.athlete);
  CHECK(read->station == written.station);
  CHECK(read->made == written.made);
  CHECK(read->mass.value == Approx(78.4967).margin(1e-4));
  CHECK(read->mass.u == Approx(0.1831).margin(1e-4));
  REQUIRE(read->foot_line);
  CHECK((read->foot_line->heel - written.foot_line->heel).norm() < 1e-5);
  CHECK((read->foot_line->toe - written.foot_line->toe).norm() < 1e-5);
  CHECK(read->foot_line->u == Approx(0.0052).margin(1e-5));
  CHECK(read->foot_line->source == session::FootLineSource::stances);
  CHECK_FALSE(std::filesystem::exists(folder / "w.toml.part"));
  CHECK_FALSE(write_weigh_in(folder / "none/w.toml", written));
}

TEST_CASE("the documented weigh-in is read as the page says", "[weigh_in]") {
  const support::Folder folder;
  const auto read = read_text(folder, documented_example());
  if (!read) FAIL(read.error().sentence());
  CHECK(read->athlete == "a7");
  CHECK(read->mass.value == 78.5);
  CHECK(read->mass.u == 0.18);
  REQUIRE(read->foot_line);
  CHECK(read->foot_line->toe == Eigen::Vector3d(0.07, -0.14, 0.0));
  CHECK(read->foot_line->u == 0.005);
}

TEST_CASE("a weigh-in file that is wrong is refused with the reason", "[weigh_in]") {
  const support::Folder folder;
  const auto refuses = [&](const std::string& text, const std::string& word) {
    const auto read = read_text(folder, text);
    REQUIRE_FALSE(read);
    CAPTURE(read.error().sentence());
    CHECK(read.error().sentence().find(word) != std::string::npos);
  };
  refuses("", "mass");
  refuses("mass = 80\nmass_u = \"0.1 kg\"\n", "mass");
  refuses("mass = \"80 kg\"\nmass_u = \"0.1 kg\"\nmas = 1\n", "mas");
  refuses("mass = \"80 kg\"\nmass_u = ", "line 2");
  refuses(
      "mass = \"80 kg\"\nmass_u = \"0.1 kg\"\n[foot_line]\nheel = [0, 0]\ntoe = [0,1,0]\nu = "
      "\"5 mm\"\n",
      "heel");
  refuses(
      "mass = \"80 kg\"\nmass_u = \"0.1 kg\"\n[foot_line]\nheel = [0, 0, 0]\ntoe = [0, 0, 0]\nu "
      "= \"5 mm\"\n",
      "same place");
  const auto none = read_weigh_in(folder / "none.toml");
  REQUIRE_FALSE(none);
  CHECK(none.error().sentence().find("no such file") != std::string::npos);
}
