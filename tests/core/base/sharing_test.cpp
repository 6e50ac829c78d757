// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/sharing.h"

#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <fstream>
#include <system_error>

#include "core/base/lab_file.h"
#include "core/base/staged_files.h"
#include "core/base/write_file.h"
#include "core/session/writer.h"
#include "support/folder.h"
#include "support/session_example.h"

using namespace moundwork;
namespace fs = std::filesystem;

namespace {

unsigned mode(const fs::path& path) {
  struct stat found {};
  REQUIRE(::stat(path.c_str(), &found) == 0);
  return found.st_mode & 07777U;
}

class OpenUmask {
 public:
  OpenUmask() : before_(::umask(0)) {}
  ~OpenUmask() { ::umask(before_); }
  OpenUmask(const OpenUmask&) = delete;
  OpenUmask& operator=(const OpenUmask&) = delete;

 private:
  mode_t before_;
};

}  // namespace

TEST_CASE("what is written is for its owner, or for the group as the lab has it", "[base]") {
  const support::Folder folder;
  const OpenUmask open;
  fs::create_directory(folder / "lab");
  std::error_code error;
  CHECK(make_folders(folder / "lab/sessions/deep", error).size() == 2);
  CHECK(mode(folder / "lab/sessions/deep") == 0700);
  REQUIRE(write_file(folder / "lab/a", "x"));
  REQUIRE(replace_file(folder / "lab/b", "x"));
  REQUIRE(append_to_file(folder / "lab/c", "x"));
  REQUIRE(
      session::Writer::create(folder / "lab/sessions/s.h5", support::example_session())->close());
  StagedFiles staged(true);
  REQUIRE(write_file(*staged.add(folder / "lab/out/d"), "x"));
  REQUIRE(staged.put_in_place());
  for (const char* file : {"a", "b", "c", "sessions/s.h5", "out/d"})
    CHECK(mode(folder / "lab" / file) == 0600);
  CHECK(mode(folder / "lab/out") == 0700);

  const auto set = set_sharing(folder / "lab", Sharing::group);
  REQUIRE(set);
  CHECK(set->problems.empty());
  CHECK(set->changed > 5);
  CHECK(mode(folder / "lab") == 02770);
  CHECK(mode(folder / "lab/sessions/s.h5") == 0660);
  REQUIRE(replace_file(folder / "lab/b", "y"));
  REQUIRE(write_file(folder / "lab/sessions/deep/e", "y"));
  CHECK(mode(folder / "lab/b") == 0660);
  CHECK(mode(folder / "lab/sessions/deep/e") == 0660);
  CHECK(make_folders(folder / "lab/new", error).size() == 1);
  CHECK(mode(folder / "lab/new") == 02770);
  REQUIRE(set_sharing(folder / "lab", Sharing::owner));
  CHECK(mode(folder / "lab/sessions/deep/e") == 0600);
  CHECK(mode(folder / "lab") == 0700);
  // Told already: nothing is left to change.
  CHECK(set_sharing(folder / "lab", Sharing::owner)->changed == 0);
}

TEST_CASE("files of old are changed by the command alone; a setting misspelt is said", "[base]") {
  const support::Folder folder;
  const OpenUmask open;
  std::ofstream(folder / "roster.csv") << "id,throws\n";
  REQUIRE(write_file(folder / "other", "x"));
  CHECK(mode(folder / "roster.csv") == 0666);
  std::ofstream(folder / "lab.toml") << "sharing = \"everybody\"\n";
  CHECK_FALSE(read_lab_file(folder.path()));
  // What cannot be read opens nothing.
  CHECK(sharing_at(folder / "other") == Sharing::owner);
  CHECK_FALSE(set_sharing(folder / "none", Sharing::group));
}
