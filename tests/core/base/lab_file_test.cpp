// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/lab_file.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "support/folder.h"
#include "support/time_zone.h"

using namespace moundwork;
namespace fs = std::filesystem;

TEST_CASE("a lab's settings hold for all that lies in its folder", "[base]") {
  const support::Folder folder;
  const support::TimeZone here("Europe/Paris");
  const fs::path sessions = folder / "lab/sessions";
  fs::create_directories(sessions);
  CHECK(zone_for(sessions / "a.h5").value() == "Europe/Paris");
  REQUIRE(set_in_lab_file(folder / "lab", "zone", "America/Los_Angeles"));
  CHECK(zone_for(sessions / "a.h5").value() == "America/Los_Angeles");
  CHECK(zone_for(folder / "lab").value() == "America/Los_Angeles");
  CHECK(lab_folder_of(sessions / "a.h5") == folder / "lab");
  CHECK(zone_for(folder / "other.h5").value() == "Europe/Paris");
}

TEST_CASE("setting one key of a lab leaves the others", "[base]") {
  const support::Folder folder;
  std::ofstream(folder / "lab.toml") << "mound = \"north\"\nzone = \"UTC\"\n";
  REQUIRE(set_in_lab_file(folder.path(), "zone", "Asia/Kathmandu"));
  CHECK(read_lab_file(folder.path())->zone == "Asia/Kathmandu");
  std::ifstream file(folder / "lab.toml");
  const std::string text(std::istreambuf_iterator<char>(file), {});
  CHECK(text.find("mound = \"north\"") != std::string::npos);
}

TEST_CASE("a lab's file that cannot be read is said and left alone", "[base]") {
  const support::Folder folder;
  CHECK(read_lab_file(folder.path())->zone.empty());
  for (const char* text : {"zone = \"Nowhere\"\n", "zone = 7\n", "zone = \n", "zone = \"\"\n"}) {
    CAPTURE(text);
    std::ofstream(folder / "lab.toml") << text;
    const auto read = read_lab_file(folder.path());
    REQUIRE_FALSE(read);
    CHECK(read.error().sentence().find("lab.toml") != std::string::npos);
    CHECK_FALSE(zone_for(folder / "a.h5"));
  }
  std::ofstream(folder / "lab.toml") << "zone = \n";
  CHECK_FALSE(set_in_lab_file(folder.path(), "zone", "UTC"));
  std::ifstream file(folder / "lab.toml");
  CHECK(std::string(std::istreambuf_iterator<char>(file), {}) == "zone = \n");
}
