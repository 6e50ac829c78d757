// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/staged_files.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>

#include "support/folder.h"

using moundwork::StagedFiles;

namespace {

std::string contents(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

}  // namespace

TEST_CASE("staged files appear together or not at all", "[base]") {
  namespace fs = std::filesystem;
  const moundwork::support::Folder folder;
  const auto put = [](const fs::path& path, const char* text) { std::ofstream(path) << text; };
  {
    StagedFiles staged(false);
    const auto one = staged.add(folder / "new" / "deep" / "one");
    REQUIRE(one);
    put(*one, "1");
    CHECK(!fs::exists(folder / "new" / "deep" / "one"));
    CHECK(!staged.add(folder / "new" / "deep" / "one"));
  }
  CHECK(fs::is_empty(folder.path()));
  {
    StagedFiles staged(false);
    const auto one = staged.add(folder / "new" / "one");
    const auto two = staged.add(folder / "two");
    REQUIRE((one && two));
    put(*one, "1");
    put(*two, "2");
    REQUIRE(staged.put_in_place());
  }
  CHECK(contents(folder / "new" / "one") == "1");
  CHECK(contents(folder / "two") == "2");
  StagedFiles careful(false);
  REQUIRE(!careful.add(folder / "two"));
  CHECK(!careful.add(folder / "new"));
  CHECK(!careful.add(folder / "two" / "under a file"));
  StagedFiles bold(true);
  const auto again = bold.add(folder / "two");
  REQUIRE(again);
  put(*again, "22");
  CHECK(contents(folder / "two") == "2");
  REQUIRE(bold.put_in_place());
  CHECK(contents(folder / "two") == "22");
  // What is no file, a file would take the place of.
  fs::create_symlink("/dev/null", folder / "device");
  CHECK(!bold.add(folder / "device"));
}

TEST_CASE("a set that another is writing is left to it", "[base]") {
  namespace fs = std::filesystem;
  const moundwork::support::Folder folder;
  const auto put = [](const fs::path& path, const char* text) { std::ofstream(path) << text; };
  std::ofstream(folder / "one.part") << "left by a kill";
  StagedFiles first(true);
  const auto one = first.add(folder / "one");
  REQUIRE(one);
  put(*one, "first");
  {
    StagedFiles second(true);
    const auto refused = second.add(folder / "one");
    REQUIRE(!refused);
    CHECK(refused.error().what.find("another program") != std::string::npos);
  }
  REQUIRE(first.put_in_place());
  CHECK(contents(folder / "one") == "first");
  StagedFiles third(true);
  CHECK(third.add(folder / "one"));
}

TEST_CASE("a set is not written through a link that lies in wait", "[base]") {
  namespace fs = std::filesystem;
  const moundwork::support::Folder folder;
  std::ofstream(folder / "victim") << "another's";
  fs::create_symlink(folder / "victim", folder / "one.part");
  StagedFiles files(true);
  const auto refused = files.add(folder / "one");
  REQUIRE_FALSE(refused);
  CHECK(refused.error().what.find("is a link") != std::string::npos);
  CHECK(contents(folder / "victim") == "another's");
}

TEST_CASE("two sets that have one file in common each write it whole", "[base]") {
  const moundwork::support::Folder folder;
  StagedFiles first(true);
  StagedFiles second(true);
  const auto put = [](const auto& working, const std::string& text) {
    REQUIRE(working);
    std::ofstream(*working) << text;
  };
  put(first.add(folder / "one"), "first");
  put(second.add(folder / "two"), "second");
  put(first.add(folder / "shared"), "of the first set");
  put(second.add(folder / "shared"), "2nd");
  REQUIRE(first.put_in_place());
  CHECK(contents(folder / "shared") == "of the first set");
  REQUIRE(second.put_in_place());
  CHECK(contents(folder / "shared") == "2nd");
}
