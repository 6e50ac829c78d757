// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/plain_file.h"

#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <fstream>

#include "support/folder.h"

using moundwork::refuse_endless;

TEST_CASE("pipes and devices are refused before anybody opens them", "[base]") {
  const moundwork::support::Folder folder;
  REQUIRE(mkfifo((folder / "pipe").c_str(), 0600) == 0);
  const auto pipe = refuse_endless(folder / "pipe");
  REQUIRE_FALSE(pipe);
  CHECK(pipe.error().sentence().find("pipe: is a pipe, where a file is wanted") !=
        std::string::npos);
  const auto device = refuse_endless("/dev/zero");
  REQUIRE_FALSE(device);
  CHECK(device.error().sentence().find("is a device") != std::string::npos);
  std::ofstream(folder / "file") << "text";
  CHECK(refuse_endless(folder / "file"));
  CHECK(refuse_endless(folder / "nothing"));  // whoever opens it says so
}
