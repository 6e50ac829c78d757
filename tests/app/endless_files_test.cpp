// SPDX-License-Identifier: GPL-3.0-or-later
// Files that never end, and values that no file holds: refused at once, in one sentence.
#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "app/support/made_throw.h"
#include "app/support/run_command.h"
#include "support/folder.h"

using moundwork::support::Folder;
using moundwork::test::CommandRun;
using moundwork::test::one_sentence;
using moundwork::test::run_command;

TEST_CASE("a pipe or a device in place of a file is refused and not waited for", "[app]") {
  const Folder folder;
  const std::string pipe = folder / "pipe";
  REQUIRE(mkfifo(pipe.c_str(), 0600) == 0);
  const std::string session = folder / "a.h5";
  const std::string table = folder / "t.csv";
  std::ofstream(session) << "read after the options";
  std::ofstream(table) << "t,fz\n0,1\n";
  const std::string out = folder / "out";
  const std::vector<std::vector<std::string>> commands{
      {"import", "--c3d", "{}", "--throws", "right", "--mass", "80kg", "--out", out + ".h5"},
      {"import", "--table", "{}", "--settings", table, "--mass", "80kg", "--out", out + ".h5"},
      {"import", "--table", table, "--settings", "{}", "--mass", "80kg", "--out", out + ".h5"},
      {"summarise", session, "--pitch-counts", "{}", "--out", out},
      {"summarise", session, "--pseudonymous", "--key", "{}", "--out", out},
      {"export", session, "--pseudonymous", "--key", "{}", "--out", out}};
  for (const std::string& place : {pipe, std::string("/dev/zero")})
    for (std::vector<std::string> command : commands) {
      for (std::string& word : command)
        if (word == "{}") word = place;
      const CommandRun run = run_command(command);
      CAPTURE(command, run.err);
      CHECK(run.code == 1);
      CHECK(one_sentence(run.err));
      // Settings are read before the table they describe.
      const bool said = run.err.find("where a file is wanted") != std::string::npos;
      CHECK((said || command[3] == "--settings"));
      CHECK_FALSE(std::filesystem::exists(out));
      CHECK_FALSE(std::filesystem::exists(out + ".h5"));
    }
}

TEST_CASE("a text that no session holds is refused before anything is written", "[app]") {
  const Folder folder;
  moundwork::test::made_throw::write(folder / "made.c3d");
  const CommandRun run =
      run_command({"import", "--c3d", folder / "made.c3d", "--throws", "right", "--mass", "80kg",
                   "--athlete", std::string(100'000, 'x'), "--out", folder / "out.h5"});
  CAPTURE(run.err);
  CHECK(run.code == 1);
  CHECK(run.err.find("the athlete's id has 100000 bytes") != std::string::npos);
  CHECK_FALSE(std::filesystem::exists(folder / "out.h5"));
}

TEST_CASE("a seed is a whole number from 0 on", "[app]") {
  const Folder folder;
  for (const char* seed : {"-1", "1.5", "18446744073709551616", "x"})
    for (const std::vector<std::string>& command :
         {std::vector<std::string>{"relate", folder / "none.csv", "--seed", seed},
          {"simulate", "--session", "--out", folder / "s.h5", "--seed", seed}}) {
      const CommandRun run = run_command(command);
      CAPTURE(command, run.err);
      CHECK(run.code != 0);
      CHECK(run.err.find("--seed") != std::string::npos);
      CHECK_FALSE(std::filesystem::exists(folder / "s.h5"));
    }
}
