// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/write_file.h"

#include <catch2/catch.hpp>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "support/folder.h"

using moundwork::is_working_file_of;
using moundwork::make_working;
using moundwork::replace_file;
using moundwork::write_file;

TEST_CASE("write file: the bytes as they are, or the system's reason", "[base]") {
  const moundwork::support::Folder folder;
  const std::string bytes("a\0b\r\n\xff", 6);
  REQUIRE(write_file(folder / "file", "longer than what comes"));
  REQUIRE(write_file(folder / "file", bytes));
  std::ifstream file(folder / "file", std::ios::binary);
  CHECK(std::string(std::istreambuf_iterator<char>(file), {}) == bytes);

  // full(4): writing to it fails as on a full disk, with ENOSPC; of any size, buffered or not.
  for (const std::size_t size : {std::size_t{1}, std::size_t{1} << 20}) {
    const auto full = write_file("/dev/full", std::string(size, 'x'));
    REQUIRE_FALSE(full);
    CHECK(full.error().what.find(std::strerror(ENOSPC)) != std::string::npos);
  }
  CHECK(std::filesystem::exists("/dev/full"));
  const auto nowhere = write_file(folder / "no" / "file", "x");
  REQUIRE_FALSE(nowhere);
  CHECK(nowhere.error().what.find(std::strerror(ENOENT)) != std::string::npos);
}

TEST_CASE("replace file: all the new bytes, or the file as it was", "[base]") {
  namespace fs = std::filesystem;
  const moundwork::support::Folder folder;
  REQUIRE(replace_file(folder / "file", "old"));
  REQUIRE(replace_file(folder / "file", "new"));
  std::ifstream file(folder / "file");
  CHECK(std::string(std::istreambuf_iterator<char>(file), {}) == "new");

  fs::create_directory(folder / "taken");
  fs::create_directory(folder / "taken" / "inside");
  const auto refused = replace_file(folder / "taken", "x");
  REQUIRE_FALSE(refused);
  CHECK(refused.error().where == folder / "taken");
  CHECK_FALSE(fs::exists(folder / "taken.part"));
  CHECK(fs::exists(folder / "taken" / "inside"));
}

TEST_CASE("replace file: a link that lies in wait leads no byte elsewhere", "[base]") {
  namespace fs = std::filesystem;
  const moundwork::support::Folder folder;
  std::ofstream(folder / "victim") << "another's";
  const auto read = [](const fs::path& path) {
    std::ifstream file(path);
    return std::string(std::istreambuf_iterator<char>(file), {});
  };
  fs::create_symlink(folder / "victim", folder / "file.part");
  fs::create_symlink(folder / "victim", folder / "file");
  REQUIRE(replace_file(folder / "file", "new"));
  CHECK(read(folder / "victim") == "another's");
  CHECK(read(folder / "file") == "new");
  CHECK_FALSE(fs::is_symlink(folder / "file"));
  const auto one = make_working(folder / "file");
  const auto two = make_working(folder / "file");
  REQUIRE(one);
  REQUIRE(two);
  CHECK(*one != *two);
  CHECK(is_working_file_of(*one, folder / "file"));
  CHECK_FALSE(is_working_file_of(folder / "file", folder / "file"));
  CHECK_FALSE(is_working_file_of(*one, folder / "fil"));
}
