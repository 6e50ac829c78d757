// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/lab_key_place.h"

#include <catch2/catch.hpp>
#include <fstream>

#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::output;
namespace fs = std::filesystem;

TEST_CASE("one rule says whose key the codes are made with", "[output]") {
  const support::Folder folder;
  fs::create_directories(folder / "lab/sessions");
  const Result<fs::path> account = folder / "account/lab.key";
  const fs::path session = folder / "lab/sessions/a.h5";
  // No lab's folder yet: the account's.
  CHECK(lab_key_for({session}, {}, account)->path == *account);
  std::ofstream(folder / "lab/roster.csv") << "id,throws\n";
  CHECK(lab_key_for({session}, {}, account)->path == folder / "lab/lab.key");
  CHECK(lab_key_for({session}, folder / "mine.key", account)->path == folder / "mine.key");

  // A lab that has none yet goes on with the account's codes.
  const auto old = read_or_make_lab_key(*account);
  REQUIRE(old);
  const auto place = lab_key_for({session}, {}, account);
  const auto key = key_of(*place, account);
  REQUIRE(key);
  CHECK(key->bytes == old->bytes);
  CHECK(lab_key_for({session}, {}, account)->remark.empty());

  // Where both are there and differ, that is said.
  fs::remove(folder / "lab/lab.key");
  REQUIRE(read_or_make_lab_key(folder / "lab/lab.key"));
  const auto both = lab_key_for({session, folder / "elsewhere.h5"}, {}, account);
  CHECK(both->path == folder / "lab/lab.key");
  CHECK(both->remark.find((folder / "account").string()) != std::string::npos);

  fs::create_directory(folder / "other");
  std::ofstream(folder / "other/lab.toml") << "zone = \"UTC\"\n";
  CHECK_FALSE(lab_key_for({session, folder / "other/b.h5"}, {}, account));
}
