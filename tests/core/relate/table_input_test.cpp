// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/table_input.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>

using namespace moundwork::relate;

namespace {

class TextFile {
 public:
  explicit TextFile(const std::string& text)
      : path_(std::filesystem::temp_directory_path() / "moundwork_relate_table_test.csv") {
    std::ofstream(path_, std::ios::binary) << text;
  }
  ~TextFile() {
    std::error_code ignored;
    std::filesystem::remove(path_, ignored);
  }
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

TextTable example() {
  return {"day.csv",
          {"who", "speed_mph", "impulse [N s]", "u of impulse", "kg", "cue", "no"},
          {{"Ari", "85.5", "150", "4", "88", "", "1"},
           {"Ari", "NA", "155", "5", "88", "sit back", "2"},
           {"NA", "86.0", "", "", "", "", "3"}},
          {2, 3, 4}};
}

TableColumns columns() {
  TableColumns names;
  names.athlete = "who";
  names.ball_speed = "speed_mph";
  names.quantities = {"impulse [N s]"};
  names.mass = "kg";
  names.cue = "cue";
  names.number = "no";
  names.uncertainties = {"impulse [N s]=u of impulse", "speed_mph=0.5"};
  return names;
}

std::string refusal(const TextTable& table, const TableColumns& names) {
  const auto pitches = pitches_from_table(table, names);
  REQUIRE_FALSE(pitches);
  return pitches.error().sentence();
}

}  // namespace

TEST_CASE("Columns become pitches, missing values stay missing", "[relate]") {
  const auto pitches = pitches_from_table(example(), columns());
  REQUIRE(pitches);
  REQUIRE(pitches->rows.size() == 3);
  CHECK(pitches->ball_speed.unit == "mph");
  CHECK(pitches->quantities[0].key == "impulse [N s]");
  CHECK(pitches->quantities[0].unit == "N s");
  CHECK(pitches->rows[0].athlete == "Ari");
  CHECK(pitches->rows[0].ball_speed.value == 85.5);
  CHECK(pitches->rows[0].ball_speed.u == 0.5);
  CHECK(pitches->rows[0].quantities[0].u == 4.0);
  CHECK(pitches->rows[0].mass == 88.0);
  CHECK(pitches->rows[1].cue == "sit back");
  CHECK_FALSE(pitches->rows[1].ball_speed.known());
  CHECK(pitches->rows[2].athlete.empty());
  CHECK_FALSE(pitches->rows[2].quantities[0].known());
  CHECK(pitches->rows[2].number == 3.0);
}

TEST_CASE("What is wrong with the columns is said in one sentence", "[relate]") {
  auto names = columns();
  names.athlete = "nobody";
  CHECK(refusal(example(), names).find("no column 'nobody'") != std::string::npos);
  names = columns();
  names.quantities = {"impulse [N s]", "impulse [N s]"};
  CHECK(refusal(example(), names).find("named twice") != std::string::npos);
  names.quantities = {"speed_mph"};
  CHECK(refusal(example(), names).find("ball speed itself") != std::string::npos);
  names.quantities = {"cue"};
  CHECK(refusal(example(), names).find("line 3") != std::string::npos);
  for (const auto* wrong : {"impulse [N s]", "other=3", "impulse [N s]=-1", "impulse [N s]=cue",
                            "impulse [N s]=nowhere"}) {
    names = columns();
    names.uncertainties = {wrong};
    CAPTURE(wrong);
    CHECK_FALSE(refusal(example(), names).empty());
  }
  auto doubled = example();
  doubled.columns[4] = "who";
  names = columns();
  names.mass.reset();
  CHECK(refusal(doubled, names).find("several columns 'who'") != std::string::npos);
  auto empty = example();
  empty.rows.clear();
  CHECK(refusal(empty, columns()).find("no rows") != std::string::npos);
}

TEST_CASE("A column names the session that this one repeats", "[relate]") {
  TextTable table{"lab.csv",
                  {"who", "speed", "x", "day", "again", "kind", "cm"},
                  {{"Ari", "38", "1", "mon", "", "fastball", "181"},
                   {"Ari", "38", "2", "thu", "mon", "", "182"},
                   {"Ari", "39", "3", "thu", "", "fastball", "182"},
                   {"Bo", "39", "3", "thu", "NA", "", ""}},
                  {2, 3, 4, 5}};
  TableColumns names;
  names.athlete = "who";
  names.ball_speed = "speed";
  names.quantities = {"x"};
  names.session = "day";
  names.retest = "again";
  names.pitch_type = "kind";
  names.height = "cm";
  const auto pitches = pitches_from_table(table, names);
  REQUIRE(pitches);
  CHECK(pitches->retests == std::vector<Retest>{{"Ari", "thu", "mon"}});
  CHECK(pitches->rows[0].pitch_type == "fastball");
  CHECK(pitches->rows[1].height == 182.0);
  CHECK(pitches->rows[0].shared_u.empty());

  table.rows[2][4] = "tue";
  CHECK(refusal(table, names).find("'tue' is no session of athlete 'Ari'") != std::string::npos);
  CHECK(refusal(table, names).find("line 4") != std::string::npos);
  table.rows[2][4] = "thu";
  CHECK(refusal(table, names).find("retest of itself") != std::string::npos);
  table.rows[2] = {"Ari", "39", "3", "fri", "", "", ""};
  table.rows[3] = {"Ari", "39", "3", "thu", "fri", "", ""};
  CHECK(refusal(table, names).find("a retest of 'mon' and of 'fri'") != std::string::npos);
}

TEST_CASE("Two units in one column are warned of", "[relate]") {
  TextTable table{"day.csv", {"who", "speed", "x"}, {}, {}};
  for (int i = 0; i < 8; ++i) {
    table.rows.push_back(
        {"Ari", i % 2 ? "38." + std::to_string(i) : "85." + std::to_string(i), std::to_string(i)});
    table.lines.push_back(i + 2);
  }
  TableColumns names;
  names.athlete = "who";
  names.ball_speed = "speed";
  names.quantities = {"x"};
  const auto pitches = pitches_from_table(table, names);
  REQUIRE(pitches);
  REQUIRE(pitches->notes.size() == 1);
  CHECK(pitches->notes[0].find("m/s and mph") != std::string::npos);
}

TEST_CASE("A file is read as text, quotes, semicolons and all", "[relate]") {
  const TextFile file(
      "\xef\xbb\xbfwho;speed;note\r\n\"Ari; \"\"the arm\"\"\";36,5;x\r\n\r\nBo;37,1;\r\n");
  const auto table = read_text_table(file.path());
  REQUIRE(table);
  CHECK(table->columns == std::vector<std::string>{"who", "speed", "note"});
  REQUIRE(table->rows.size() == 2);
  CHECK(table->rows[0][0] == "Ari; \"the arm\"");
  CHECK(table->rows[1][1] == "37,1");
  CHECK(table->rows[1][2].empty());
  CHECK(table->lines == std::vector<std::int64_t>{2, 4});
  CHECK(table->name == "moundwork_relate_table_test.csv");

  const TextFile ragged("who,speed\nAri,36.5\nBo\n");
  const auto refused = read_text_table(ragged.path());
  REQUIRE_FALSE(refused);
  CHECK(refused.error().sentence().find("line 3") != std::string::npos);
  CHECK_FALSE(read_text_table("no/such/file.csv"));
}

TEST_CASE("A table's types, deliveries and efforts are taken as the program takes them elsewhere",
          "[relate][strata]") {
  TextTable table{"day.csv",
                  {"who", "v [m/s]", "f [N]", "type", "set", "how hard", "tall [m]", "years"},
                  {{"Ari", "35", "150", "Changeup", "stretch", "90%", "1.60", "13"},
                   {"Ari", "36", "155", "", "", "", "1.60", "13"}},
                  {2, 3}};
  TableColumns names;
  names.athlete = "who";
  names.ball_speed = "v [m/s]";
  names.quantities = {"f [N]"};
  names.pitch_type = "type";
  names.delivery = "set";
  names.effort = "how hard";
  names.height = "tall [m]";
  names.age = "years";
  const auto pitches = pitches_from_table(table, names);
  REQUIRE(pitches);
  CHECK(pitches->rows[0].pitch_type == "change-up");
  CHECK(pitches->rows[0].delivery == "stretch");
  CHECK(pitches->rows[0].effort == Approx(0.9));
  CHECK(pitches->rows[0].height == 1.6);
  CHECK(pitches->rows[0].age == 13.0);
  CHECK(pitches->rows[1].pitch_type.empty());
  table.rows[1][5] = "9";
  const std::string bare = refusal(table, names);
  CHECK(bare.find("line 3") != std::string::npos);
  CHECK(bare.find("without its scale") != std::string::npos);
  table.rows[1][5] = "120%";
  CHECK(refusal(table, names).find("no effort above 0") != std::string::npos);
}
