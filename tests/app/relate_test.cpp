// SPDX-License-Identifier: GPL-3.0-or-later
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <utility>
#include <vector>

#include "app/support/run_command.h"
#include "core/stats/reference_data.h"

using moundwork::test::CommandRun;

namespace {

CommandRun relate(std::vector<std::string> arguments) {
  arguments.insert(arguments.begin(), "relate");
  return moundwork::test::run_command(std::move(arguments));
}

class Table {
 public:
  explicit Table(const std::string& text)
      : path_(std::filesystem::temp_directory_path() / "moundwork_relate_test.csv") {
    std::ofstream(path_, std::ios::binary) << text;
  }
  ~Table() {
    std::error_code ignored;
    std::filesystem::remove(path_, ignored);
  }
  Table(const Table&) = delete;
  Table& operator=(const Table&) = delete;

  // The options that every table needs, then more.
  [[nodiscard]] CommandRun relate(const std::vector<std::string>& quantities,
                                  const std::vector<std::string>& more = {}) const {
    std::vector<std::string> arguments{"--table", path_.string(), "--athlete",
                                       "who",     "--ball-speed", "speed"};
    for (const auto& quantity : quantities) {
      arguments.emplace_back("--quantity");
      arguments.push_back(quantity);
    }
    arguments.insert(arguments.end(), more.begin(), more.end());
    return ::relate(arguments);
  }

 private:
  std::filesystem::path path_;
};

std::string ph_table() {
  std::ostringstream text;
  text << "who,speed,paco2\n";
  for (const auto& row : reference::bland_altman)
    text << row.subject << ',' << row.ph << ',' << row.paco2 << '\n';
  return text.str();
}

bool one_sentence(const std::string& text) {
  return !text.empty() && text.back() == '\n' && text.find('\n') == text.size() - 1 &&
         text[text.size() - 2] == '.';
}

}  // namespace

TEST_CASE("relate: the JSON that scripts rely on", "[app]") {
  const Table table(ph_table());
  const auto run = table.relate({"paco2"}, {"--json"});
  REQUIRE(run.code == 0);
  CHECK(run.err.empty());
  const auto json = nlohmann::json::parse(run.out);
  REQUIRE(json["relations"].size() == 1);
  const auto& relation = json["relations"][0];
  CHECK(relation["quantity"] == "paco2");
  CHECK(relation["n"] == 47);
  CHECK(relation["athletes"] == 8);
  // NumPy 1.24 and lme4 1.1-31.
  const auto& rm = relation["repeated_measures"];
  CHECK(rm["r"].get<double>() == Approx(-0.506769742233).epsilon(1e-11));
  CHECK(rm["df"] == 38);
  CHECK(rm["p"].get<double>() == Approx(0.000847108109).epsilon(1e-8));
  CHECK(rm["low"].get<double>() == Approx(-0.706714636).epsilon(1e-8));
  CHECK(rm["high"].get<double>() == Approx(-0.231863120).epsilon(1e-8));
  CHECK(relation["between"]["r"].get<double>() == Approx(0.081773135).epsilon(1e-7));
  CHECK(relation["pearson"]["r"].get<double>() == Approx(-0.065217744).epsilon(1e-7));
  CHECK(relation["pearson"]["pools_athletes"] == true);
  CHECK(relation["spearman"]["r"].is_number());
  const auto& model = relation["mixed_model"];
  CHECK(model["within_slope"]["value"].get<double>() == Approx(-0.108323047).epsilon(1e-8));
  CHECK(model["within_slope"]["u"].get<double>() == Approx(0.029902).epsilon(2e-5));
  CHECK(model["between_slope"]["value"].get<double>() == Approx(0.031731).epsilon(2e-5));
  CHECK(model["sd_athlete"].get<double>() == Approx(std::sqrt(0.1003658)).epsilon(1e-6));
  CHECK(model["sd_residual"].get<double>() == Approx(std::sqrt(0.00878770)).epsilon(1e-6));
  CHECK(relation["adjusted_p"] == rm["p"]);
  CHECK(relation["says"].get<std::string>().find("cause") == std::string::npos);
}

TEST_CASE("relate: text for people", "[app]") {
  const Table table(ph_table());
  const auto run = table.relate({"paco2"});
  REQUIRE(run.code == 0);
  CHECK(run.out.find("47 pitches of 8 athletes") != std::string::npos);
  CHECK(run.out.find("1 test within athletes, 0 between") != std::string::npos);
  CHECK(run.out.find("What may be said") != std::string::npos);
}

TEST_CASE("relate: the same seed gives the same answer", "[app]") {
  const Table table(ph_table());
  const auto first = table.relate({"paco2"}, {"--json", "--seed", "5"});
  CHECK(first.out == table.relate({"paco2"}, {"--json", "--seed", "5"}).out);
  CHECK(first.out != table.relate({"paco2"}, {"--json", "--seed", "6"}).out);
}

TEST_CASE("relate: rows with a missing value are left out and counted", "[app]") {
  const Table table(
      "who,speed,x,y\nA,36,1,5\nA,37,,5\nA,,3,5\nA,38,4,5\nB,39,5,5\nB,38,6,5\n,40,7,5\n");
  const auto run = table.relate({"x", "y"}, {"--json"});
  REQUIRE(run.code == 0);
  const auto json = nlohmann::json::parse(run.out);
  CHECK(json["rows"] == 7);
  CHECK(json["rows_left_out"] == 2);
  CHECK(json["relations"][0]["n"] == 4);
  CHECK(json["relations"][0]["left_out"] == 3);
  CHECK(json["relations"][1]["pearson"]["r"].is_null());
  CHECK(json["relations"][1]["adjusted_p"].is_null());
}

TEST_CASE("relate: cue, reliability and change", "[app]") {
  std::ostringstream text;
  text << "who,speed,x,day,no,cue\n";
  for (int athlete = 0; athlete < 6; ++athlete)
    for (int day = 1; day <= 2; ++day)
      for (int i = 1; i <= 6; ++i)
        text << 'P' << athlete << ',' << 35 + athlete + 0.1 * ((i * 7 + day) % 5) << ','
             << 100 + 3 * athlete + (i * 5 + day * athlete) % 7 << ",day" << day << ',' << i << ','
             << (i % 2 ? "stay tall" : "") << '\n';
  const Table table(text.str());
  const auto cue = table.relate({"x"}, {"--session", "day", "--throw", "no", "--cue", "cue",
                                        "--cue-tag", "stay tall", "--target", "x", "--json"});
  REQUIRE(cue.code == 0);
  const auto cue_json = nlohmann::json::parse(cue.out);
  CHECK(cue_json["cue"]["effects"].size() == 2);
  CHECK(cue_json["cue"]["effects"][1]["with"] == 36);
  CHECK(cue_json["trends"].size() == 2);

  const auto repeat = table.relate({"x"}, {"--session", "day", "--reliability", "--json"});
  REQUIRE(repeat.code == 0);
  const auto repeat_json = nlohmann::json::parse(repeat.out);
  CHECK(repeat_json["reliability"][1]["sessions"]["athletes"] == 6);

  const auto change = table.relate({"x"}, {"--session", "day", "--change", "--json"});
  REQUIRE(change.code == 0);
  const auto change_json = nlohmann::json::parse(change.out);
  CHECK(change_json["changes"].size() == 12);
  CHECK(change_json["changes"][0]["limit_source"].is_string());
  CHECK(table.relate({"x"}, {"--session", "day", "--change"}).out.find("What may be said") !=
        std::string::npos);
}

TEST_CASE("relate: a change is told apart from what days differ by where retests are named",
          "[app]") {
  std::ostringstream text;
  text << "who,speed,x,day,again,kg\n";
  for (int athlete = 0; athlete < 7; ++athlete)
    for (int day = 1; day <= 2; ++day)
      for (int i = 1; i <= 6; ++i) {
        // All but the first were measured again; the first gained 30 of x and 4 kg.
        const bool judged = athlete == 0;
        const double x = 100 + (i * 5) % 7 + (day == 2 ? (judged ? 30 : 3 * (athlete % 3 - 1)) : 0);
        text << 'P' << athlete << ',' << 35 + 0.1 * ((i * 7 + day) % 5) << ',' << x << ",day" << day
             << ',' << (day == 2 && !judged ? "day1" : "") << ','
             << (judged && day == 2 ? 64.0 : 60.0) << '\n';
      }
  const Table table(text.str());
  const std::vector<std::string> asked{"--session", "day", "--mass", "kg", "--change", "--json"};
  const auto of = [&](std::vector<std::string> more) {
    more.insert(more.begin(), asked.begin(), asked.end());
    const auto run = table.relate({"x"}, more);
    CAPTURE(run.err);
    REQUIRE(run.code == 0);
    return nlohmann::json::parse(run.out)["changes"];
  };
  const auto without = of({});
  REQUIRE(without.size() == 14);
  CHECK(without[1]["word"] == "beyond scatter and measurement");
  CHECK(without[1]["limit_of"] == "scatter");
  CHECK(without[1]["real"] == false);
  CHECK(without[1]["growth"]["mass"]["to"] == 64.0);
  CHECK(without[1]["growth"]["height"].is_null());
  CHECK(without[3]["growth"].is_null());
  CHECK(without[1]["says"].get<std::string>().find("is not known") != std::string::npos);
  // The others' retests count though they are not asked for.
  const auto with = of({"--retest", "again", "--only", "P0"});
  REQUIRE(with.size() == 2);
  CHECK(with[1]["word"] == "beyond what days differ by");
  CHECK(with[1]["limit_of"] == "scatter and days");
  CHECK(with[1]["retested"] == 6);
  CHECK(with[1]["looked_at"] == 2);
  CHECK(with[1]["real"] == true);
  CHECK(with[1]["limit"].get<double>() > without[1]["limit"].get<double>());
  CHECK(table.relate({"x"}, {"--session", "day", "--change", "--retest", "x"}).code == 1);
  CHECK(table.relate({"x"}, {"--session", "day", "--change", "--change-days", "3"}).code != 0);
}

TEST_CASE("relate: bad input is one sentence and a failing exit", "[app]") {
  const Table table("who,speed,x,note\nA,36,1,fast\nA,37,2,slow\nB,38,3,\n");
  for (const auto& run :
       {table.relate({"nothing"}), table.relate({"note"}), table.relate({"x", "x"}),
        table.relate({"speed"}), table.relate({"x"}, {"--only", "Z"}),
        table.relate({"x"}, {"--change"}),
        table.relate({"x"}, {"--change", "--typical-error", "x"}),
        table.relate({"x"}, {"--uncertainty", "x=-1"}), table.relate({"x"}, {"--cue-tag", "any"}),
        table.relate({}), relate({}), relate({"no-such-session.h5"}),
        relate({"--table", "no-such.csv", "--athlete", "a", "--ball-speed", "b", "--quantity",
                "c"})}) {
    CAPTURE(run.err);
    CHECK(run.code == 1);
    CHECK(one_sentence(run.err));
    CHECK(run.out.empty());
  }
  // A quantity takes one name, so that a session may follow it.
  CHECK(relate({"--quantity", "braking_impulse", "no-such-session.h5", "another.h5"})
            .err.find("no-such-session.h5") != std::string::npos);
  // What the parser itself refuses.
  CHECK(table.relate({"x"}, {"--level", "2"}).code != 0);
  CHECK(table.relate({"x"}, {"--from", "day1"}).code != 0);
}

TEST_CASE("relate: throws of a table are compared with their like", "[app]") {
  // Two types on two days; within a cell ball speed rises by 1 for each newton, made so.
  std::ostringstream text;
  text << "who,day,no,type,effort,speed,force\n";
  for (int day = 1; day <= 2; ++day)
    for (int no = 1; no <= 8; ++no) {
      const bool fast = no % 2 == 0;
      const double force = 100.0 + no * 5 % 7 - 30.0 * day;
      text << "Ari," << day << ',' << no << ',' << (fast ? "Fastball" : "change up") << ",100%,"
           << force - 80.0 + (fast ? 8.0 : 0.0) + 40.0 * day << ',' << force << '\n';
    }
  const Table table(text.str());
  const std::vector<std::string> told{"--session", "day",    "--pitch-type", "type",
                                      "--effort",  "effort", "--json"};
  const auto run = table.relate({"force"}, told);
  CAPTURE(run.err);
  REQUIRE(run.code == 0);
  const auto relation = nlohmann::json::parse(run.out)["relations"][0];
  CHECK(relation["repeated_measures"]["r"].get<double>() == Approx(1.0));
  CHECK(relation["repeated_measures"]["df"] == 16 - 4 - 1);
  CHECK(relation["strata"]["n"] == 4);
  CHECK(relation["strata"]["left_out"] == 0);
  CHECK(relation["strata"]["by"] == nlohmann::json::array({"session", "pitch_type", "effort"}));
  CHECK(relation["repeated_measures_given_order"].is_null());
  CHECK(relation["slope"]["value"].get<double>() == Approx(1.0));
  // Mixed they are no more than a cloud.
  CHECK(std::abs(relation["pearson"]["r"].get<double>()) < 0.9);

  auto one_type = told;
  one_type.insert(one_type.begin(), {"--only-type", "Change-Up"});
  const auto only = table.relate({"force"}, one_type);
  REQUIRE(only.code == 0);
  CHECK(nlohmann::json::parse(only.out)["rows"] == 8);
  one_type[1] = "cutter";
  const auto none = table.relate({"force"}, one_type);
  CHECK(none.code == 1);
  CHECK(one_sentence(none.err));
  CHECK(none.err.find("change-up, fastball") != std::string::npos);
  const auto bare = Table(text.str() + "Ari,2,9,fastball,9,40,70\n").relate({"force"}, told);
  CHECK(bare.code == 1);
  CHECK(one_sentence(bare.err));
  CHECK(bare.err.find("line 18") != std::string::npos);
}

TEST_CASE("relate: between athletes size is allowed for, or it cannot be told", "[app]") {
  std::ostringstream text;
  text << "who,speed,force,kg,m,years\n";
  for (int i = 0; i < 20; ++i) {
    const double kg = 40.0 + 3.0 * i + (i * 7 % 5);
    text << 'a' << i << ',' << 20.0 + 0.2 * kg + (i * 3 % 4) * 0.3 << ',' << 10.0 * kg + i * 11 % 13
         << ',' << kg << ',' << 1.4 + 0.02 * i + (i * 5 % 3) * 0.01 << ',' << 10 + i % 9 << '\n';
  }
  const Table table(text.str());
  const auto plain = nlohmann::json::parse(table.relate({"force"}, {"--json"}).out);
  CHECK(plain["relations"][0]["verdict"]["between"] == "cannot tell");
  CHECK(plain["relations"][0]["between_equal_size"]["r"].is_null());
  CHECK(plain["relations"][0]["between_equal_size"]["why_not"].get<std::string>().find(
            "size cannot be told from technique") != std::string::npos);
  CHECK(plain["relations"][0]["between"]["r"].get<double>() > 0.9);
  const auto given = nlohmann::json::parse(
      table.relate({"force"}, {"--mass", "kg", "--height", "m", "--age", "years", "--json"}).out);
  const auto& equal = given["relations"][0]["between_equal_size"];
  CHECK(equal["given"] == nlohmann::json::array({"mass", "height", "age"}));
  CHECK(equal["df"] == 20 - 2 - 3);
  CHECK(equal["athletes"] == 20);
  CHECK(std::abs(equal["r"].get<double>()) < 0.9);
}
