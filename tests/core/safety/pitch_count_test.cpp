// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/safety/pitch_count.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>

#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::safety;

namespace {

Result<PitchCountTable> read_text(const std::string& text) {
  const support::Folder folder;
  std::ofstream(folder / "counts.toml") << text;
  return read_pitch_counts(folder / "counts.toml");
}

const std::string head = "source = \"the league\"\ndated = \"2026-01\"\n";

}  // namespace

TEST_CASE("The common table holds its source's limits and rests", "[safety]") {
  // The scheme of one national youth body, as two league pages restate it.
  struct Row {
    int age, most, pitches, days;
  };
  for (const Row& row :
       {Row{7, 50, 20, 0}, Row{8, 50, 21, 1}, Row{9, 75, 35, 1}, Row{10, 75, 36, 2},
        Row{11, 85, 50, 2}, Row{12, 85, 51, 3}, Row{13, 95, 65, 3}, Row{14, 95, 66, 4},
        Row{15, 95, 30, 0}, Row{16, 95, 31, 1}, Row{16, 95, 46, 2}, Row{17, 105, 61, 3},
        Row{18, 105, 76, 4}}) {
    CAPTURE(row.age, row.pitches);
    const AgeBand* band = band_of(common_pitch_counts(), row.age);
    REQUIRE(band != nullptr);
    CHECK(band->most_a_day == row.most);
    CHECK(rest_days(*band, row.pitches) == row.days);
  }
  CHECK(band_of(common_pitch_counts(), 6) == nullptr);
  CHECK(band_of(common_pitch_counts(), 19) == nullptr);
}

TEST_CASE("A lab's own table is read, or refused in a sentence", "[safety]") {
  const auto table =
      read_text(head +
                "note = \"Of games.\"\n[[band]]\nfrom = 8\nto = 12\nmost_a_day = 60\n"
                "rest = [[20, 0], [40, 2]]\nrest_beyond = 3\n");
  REQUIRE(table);
  CHECK(table->source == "the league");
  CHECK(table->dated == "2026-01");
  REQUIRE(band_of(*table, 12) != nullptr);
  CHECK(rest_days(*band_of(*table, 12), 20) == 0);
  CHECK(rest_days(*band_of(*table, 12), 41) == 3);

  const std::string band = "[[band]]\nfrom = 8\nto = 12\nmost_a_day = 60\n";
  for (const std::string& wrong :
       {std::string("source = "), std::string("dated = \"2026\"\n" + band), head, head + band,
        head + band + "rest = [[20, 0], [15, 1]]\nrest_beyond = 3\n",
        head + band + "rest = [[20, 0.5]]\nrest_beyond = 3\n",
        head + band + "rest = [[20, 2]]\nrest_beyond = 1\n",
        head + band + "rest = [[20, 0]]\nrest_beyond = 3\n" + band +
            "rest = [[20, 0]]\nrest_beyond = 3\n",
        head + "[[band]]\nfrom = 12\nto = 8\nmost_a_day = 60\nrest = [[20, 0]]\nrest_beyond = 3\n",
        head + "[[band]]\nfrom = 8\nto = 9\nmost_a_day = \"60\"\nrest = [[20, 0]]\n"}) {
    CAPTURE(wrong);
    const auto refused = read_text(wrong);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().sentence().find("counts.toml") != std::string::npos);
  }
  CHECK_FALSE(read_pitch_counts("/nowhere/counts.toml"));
}

TEST_CASE("The table that the page of summaries shows is one", "[safety][docs]") {
  std::ifstream page(std::string(MOUNDWORK_DOCS) + "/summaries.md");
  const std::string text{std::istreambuf_iterator<char>(page), {}};
  const std::string fence = "```toml\n";
  const auto begin = text.find(fence);
  REQUIRE(begin != std::string::npos);
  const auto table = read_text(
      text.substr(begin + fence.size(), text.find("```\n", begin + 3) - begin - fence.size()));
  REQUIRE(table);
  CHECK(table->source == "Rules of our league");
  REQUIRE(band_of(*table, 9) != nullptr);
  CHECK(rest_days(*band_of(*table, 9), 41) == 2);
}
