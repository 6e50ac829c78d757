// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/working_files.h"

#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <fstream>

#include "core/base/staged_files.h"
#include "core/base/write_file.h"
#include "support/folder.h"

using namespace moundwork;

TEST_CASE("a program that is told to end leaves no half file", "[base]") {
  namespace fs = std::filesystem;
  const support::Folder folder;
  std::ofstream(folder / "theirs") << "somebody's";
  REQUIRE(replace_file(folder / "whole", "all of it"));
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    StagedFiles placed(true);
    const auto one = placed.add(folder / "made" / "one");
    if (!one || !write_file(*one, "1") || !placed.put_in_place()) _exit(1);
    StagedFiles half(true);
    const auto two = half.add(folder / "new" / "deep" / "two");
    const auto three = half.add(folder / "whole");
    if (!two || !three || !write_file(*two, "2") || !write_file(*three, "3")) _exit(2);
    remove_working();
    _exit(0);
  }
  int status = 0;
  REQUIRE(waitpid(child, &status, 0) == child);
  REQUIRE(WEXITSTATUS(status) == 0);
  CHECK(fs::exists(folder / "made" / "one"));
  CHECK(fs::file_size(folder / "whole") == 9);
  CHECK(fs::exists(folder / "theirs"));
  CHECK_FALSE(fs::exists(folder / "new"));
  CHECK_FALSE(fs::exists(folder / "whole.part"));
}
