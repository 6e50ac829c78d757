// SPDX-License-Identifier: GPL-3.0-or-later
// Drawing which throws get which cue, as typed.
#include "core/session/cue_order.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "app/support/made_throw.h"
#include "app/support/run_command.h"
#include "core/session/edit_list.h"
#include "support/folder.h"

namespace {

using moundwork::support::Folder;
using moundwork::test::one_sentence;
using moundwork::test::run_command;
using nlohmann::json;
namespace made = moundwork::test::made_throw;

}  // namespace

TEST_CASE("cue-order: one cue or none a throw, as a list and for programs", "[app]") {
  const auto told = run_command({"cue-order", "--cue", "heel", "--throws", "24", "--run", "3",
                                 "--seed", "18446744073709551615", "--json"});
  REQUIRE(told.code == 0);
  const json document = json::parse(told.out);
  CHECK(document["cues"] == json::array({"heel"}));
  CHECK(document["throws"] == 24);
  CHECK(document["run"] == 3);
  CHECK(document["seed"] == 18446744073709551615u);
  REQUIRE(document["order"].size() == 24);
  int with = 0;
  for (std::size_t i = 0; i < 24; ++i) {
    const json& one = document["order"][i];
    CHECK((one.is_null() || one == "heel"));
    CHECK(one == document["order"][i - i % 3]);
    with += one.is_null() ? 0 : 1;
  }
  CHECK(with == 12);

  const auto list = run_command({"cue-order", "--cue", "heel", "--throws", "24", "--run", "3",
                                 "--seed", "18446744073709551615"});
  REQUIRE(list.code == 0);
  CHECK(list.out.find("in runs of 3 with seed 18446744073709551615") != std::string::npos);
  for (std::size_t i = 0; i < 24; ++i) {
    const json& one = document["order"][i];
    const std::string line = "\n" + std::string(i < 9 ? "   " : "  ") + std::to_string(i + 1) +
                             "  " + (one.is_null() ? "no cue" : "heel") + "\n";
    CHECK(list.out.find(line) != std::string::npos);
  }
}

TEST_CASE("cue-order: the seed that was drawn draws the same order again", "[app]") {
  const auto first =
      run_command({"cue-order", "--cue", "heel", "--cue", "stay tall", "--throws", "30", "--json"});
  REQUIRE(first.code == 0);
  const json document = json::parse(first.out);
  CHECK(document["run"] == 1);
  CHECK(document["cues"] == json::array({"heel", "stay tall"}));
  const auto again =
      run_command({"cue-order", "--cue", "heel", "--cue", "stay tall", "--throws", "30", "--seed",
                   std::to_string(document["seed"].get<std::uint64_t>()), "--json"});
  CHECK(again.out == first.out);
}

TEST_CASE("cue-order: a session keeps the order", "[app]") {
  const Folder folder;
  made::write(folder / "made.c3d");
  const std::string session = folder / "made.h5";
  REQUIRE(run_command({"import", "--c3d", folder / "made.c3d", "--throws", "right", "--mass",
                       "80kg", "--release", "2.63s", "--out", session})
              .code == 0);
  const auto told = run_command({"cue-order", "--cue", "heel", "--throws", "12", "--session",
                                 session, "--who", "A. Coach", "--json"});
  REQUIRE(told.code == 0);
  const auto edits = moundwork::session::read_edits(session);
  REQUIRE(edits);
  REQUIRE(edits->size() == 1);
  CHECK(edits->front().who == "A. Coach");
  const auto kept = moundwork::session::kept_cue_order(edits->front());
  REQUIRE(kept);
  const json document = json::parse(told.out);
  CHECK(kept->seed == document["seed"].get<std::uint64_t>());
  CHECK(kept->begins == 0.0);
  for (std::size_t i = 0; i < 12; ++i)
    CHECK((kept->cue_at(i).empty() ? json(nullptr) : json(kept->cue_at(i))) ==
          document["order"][i]);
  const auto list = run_command({"edit", "list", session});
  CHECK(list.out.find("drew the order of cues for 12 throws by chance: heel or none") !=
        std::string::npos);
}

TEST_CASE("cue-order: what cannot be drawn is refused in one sentence", "[app]") {
  const Folder folder;
  const std::vector<std::vector<std::string>> not_taken{
      {"--throws", "24"},
      {"--cue", "heel"},
      {"--cue", "heel", "--throws", "many"},
      {"--cue", "heel", "--throws", "24", "--seed", "-1"}};
  for (auto arguments : not_taken) {
    arguments.insert(arguments.begin(), "cue-order");
    CAPTURE(arguments);
    const auto refused = run_command(arguments);
    CHECK(refused.code != 0);
    CHECK(refused.out.empty());
  }
  const std::vector<std::vector<std::string>> wrong{
      {"--cue", "heel", "--throws", "0"},
      {"--cue", "heel", "--throws", "151"},
      {"--cue", "heel", "--throws", "24", "--run", "0"},
      {"--cue", "heel", "--throws", "24", "--run", "24"},
      {"--cue", "", "--throws", "24"},
      {"--cue", "heel", "--cue", "heel", "--throws", "24"},
      {"--cue", "heel", "--throws", "24", "--session", folder / "none.h5"}};
  for (auto arguments : wrong) {
    arguments.insert(arguments.begin(), "cue-order");
    CAPTURE(arguments);
    const auto refused = run_command(arguments);
    CHECK(refused.code != 0);
    CHECK(refused.out.empty());
    CHECK(one_sentence(refused.err));
  }
  // Too few runs can be thrown, but tell nothing.
  const auto few =
      run_command({"cue-order", "--cue", "heel", "--throws", "12", "--run", "3", "--json"});
  CHECK(few.code == 0);
  CHECK(one_sentence(few.err));
  CHECK(json::parse(few.out)["order"].size() == 12);
}
