// SPDX-License-Identifier: GPL-3.0-or-later
// What a user in a hurry types: one sentence says what is wrong, and nothing is left behind.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <set>

#include "app/support/made_throw.h"
#include "app/support/run_command.h"
#include "support/folder.h"

namespace {

using moundwork::support::Folder;
using moundwork::test::CommandRun;
using moundwork::test::one_sentence;
using moundwork::test::run_command;

std::set<std::string> names_in(const Folder& folder) {
  std::set<std::string> names;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder.path()))
    names.insert(entry.path().string());
  return names;
}

void text_file(const std::filesystem::path& path, const std::string& text) {
  std::ofstream(path, std::ios::binary) << text;
}

struct Mistake {
  std::string name;
  std::vector<std::string> arguments;
  std::string told;  // what the sentence must name
};

}  // namespace

TEST_CASE("import: each mistake is one sentence and leaves nothing behind", "[app]") {
  const Folder folder;
  const std::string c3d = folder / "made.c3d";
  const std::string out = folder / "out.h5";
  moundwork::test::made_throw::write(c3d);
  text_file(folder / "table.csv", "t,fz\n0,1\n");
  text_file(folder / "words.c3d", "this is no recording\n");
  text_file(folder / "short.c3d", std::string("\x02\x50", 2));
  std::filesystem::copy_file(c3d, folder / "cut.c3d");
  std::filesystem::resize_file(folder / "cut.c3d", std::filesystem::file_size(c3d) / 2);
  text_file(folder / "taken.h5", "somebody's only copy");
  text_file(folder / "bad.toml", "[plates\n");
  std::filesystem::create_symlink("/dev/null", folder / "device");
  const std::vector<std::string> good{"import", "--c3d", c3d,     "--throws", "right",
                                      "--mass", "80kg",  "--out", out};
  const auto with = [&](std::size_t place, const std::string& text) {
    auto changed = good;
    changed[place] = text;
    return changed;
  };
  const auto and_also = [&](std::vector<std::string> more) {
    auto changed = good;
    changed.insert(changed.end(), more.begin(), more.end());
    return changed;
  };
  const std::vector<Mistake> mistakes{
      {"no mass", {"import", "--c3d", c3d, "--throws", "right", "--out", out}, "mass"},
      {"no hand", {"import", "--c3d", c3d, "--mass", "80kg", "--out", out}, "throws"},
      {"mass without a unit", with(6, "80"), "--mass"},
      {"mass in metres", with(6, "80m"), "--mass"},
      {"mass in words", with(6, "heavy"), "--mass"},
      {"negative mass", with(6, "-80kg"), "mass"},
      {"no mass to speak of", with(6, "0kg"), "mass"},
      {"speed without a unit", and_also({"--ball-speed", "91.8"}), "--ball-speed"},
      {"release without a unit", and_also({"--release", "1.38"}), "--release"},
      {"release before the recording", and_also({"--release", "-1s"}), "release"},
      {"release after the recording", and_also({"--release", "99min"}), "release"},
      {"decimal comma", with(6, "95,7 kg"), "comma"},
      {"negative uncertainty", and_also({"--mass-u", "-1kg"}), "--mass"},
      {"foot of minus a foot", and_also({"--foot-length", "-30cm"}), "foot length"},
      {"foot in the wrong unit", and_also({"--foot-length", "28m"}), "foot length"},
      {"colder than can be", and_also({"--temperature", "-300C"}), "temperature"},
      {"no air", and_also({"--pressure", "0hPa"}), "pressure"},
      {"a day no calendar has", and_also({"--born", "2004-02-30"}), "2004-02-30"},
      {"born in the future", and_also({"--born", "2999-01-01"}), "2999-01-01"},
      {"a birthday of words", and_also({"--born", "2004-02-03, or so"}), "date"},
      {"no such plate", and_also({"--back-plate", "9"}), "9"},
      {"plate nought", and_also({"--lead-plate", "0"}), "0"},
      {"one plate for both feet", and_also({"--back-plate", "1", "--lead-plate", "1"}), "plate"},
      {"no such marker", and_also({"--heel-marker", "NOSE", "--toe-marker", "TOE"}), "NOSE"},
      {"heel without toe", and_also({"--heel-marker", "HEEL"}), "toe"},
      {"no such hand marker", and_also({"--release-marker", "NOSE"}), "NOSE"},
      {"home axis that points up", and_also({"--home-axis", "+z"}), "axis"},
      {"axis in words", and_also({"--home-axis", "forward"}), "axis"},
      {"no such recording", with(2, folder / "no.c3d"), "no.c3d"},
      {"a folder as recording", with(2, folder.path().string()), folder.path().string()},
      {"text as recording", with(2, folder / "words.c3d"), "words.c3d"},
      {"two bytes as recording", with(2, folder / "short.c3d"), "short.c3d"},
      {"half a recording", with(2, folder / "cut.c3d"), "cut.c3d"},
      {"file that is there", with(8, folder / "taken.h5"), "taken.h5"},
      {"folder that is not there", with(8, folder / "no/such/out.h5"), "out.h5"},
      {"folder as session",
       {"import", "--c3d", c3d, "--throws", "right", "--mass", "80kg", "--force", "--out",
        folder.path().string()},
       "folder"},
      {"the recording as session",
       {"import", "--c3d", c3d, "--throws", "right", "--mass", "80kg", "--force", "--out",
        folder / "./made.c3d"},
       "written over"},
      {"a device as session",
       {"import", "--c3d", c3d, "--throws", "right", "--mass", "80kg", "--force", "--out",
        folder / "device"},
       "device"},
      {"table without settings",
       {"import", "--table", folder / "table.csv", "--throws", "right", "--mass", "80kg", "--out",
        out},
       "settings"},
      {"settings that are no TOML",
       {"import", "--table", folder / "table.csv", "--settings", folder / "bad.toml", "--out", out},
       "bad.toml"},
      {"no such table",
       {"import", "--table", folder / "no.csv", "--settings", folder / "bad.toml", "--out", out},
       "bad.toml"}};
  const auto before = names_in(folder);
  for (const Mistake& mistake : mistakes) {
    const CommandRun run = run_command(mistake.arguments);
    CAPTURE(mistake.name, run.out, run.err);
    CHECK(run.code != 0);
    CHECK(run.out.empty());
    CHECK(one_sentence(run.err));
    CHECK(run.err.find(mistake.told) != std::string::npos);
    CHECK(names_in(folder) == before);
  }
  std::string kept;
  std::getline(std::ifstream(folder / "taken.h5") >> std::ws, kept);
  CHECK(kept == "somebody's only copy");
  // The same words without a mistake do work.
  CHECK(run_command(good).code == 0);
}

TEST_CASE("analyse: each mistake is one sentence and leaves nothing behind", "[app]") {
  const Folder folder;
  moundwork::test::made_throw::write(folder / "made.c3d");
  const std::string session = folder / "a.h5";
  REQUIRE(run_command({"import", "--c3d", folder / "made.c3d", "--throws", "right", "--mass",
                       "80kg", "--out", session})
              .code == 0);
  text_file(folder / "words.h5", "this is no session\n");
  text_file(folder / "empty.h5", "");
  std::filesystem::copy_file(session, folder / "cut.h5");
  std::filesystem::resize_file(folder / "cut.h5", std::filesystem::file_size(session) / 2);
  const std::vector<Mistake> mistakes{
      {"no such session", {"analyse", folder / "no.h5"}, "no.h5"},
      {"text as session", {"analyse", folder / "words.h5"}, "words.h5"},
      {"nothing as session", {"analyse", folder / "empty.h5"}, "empty.h5"},
      {"half a session", {"analyse", folder / "cut.h5"}, "cut.h5"},
      {"a folder as session", {"analyse", folder.path().string()}, folder.path().string()},
      {"a recording as session", {"analyse", folder / "made.c3d"}, "made.c3d"},
      {"unknown setting", {"analyse", session, "--set", "contact=0.1"}, "contact"},
      {"setting without a number", {"analyse", session, "--set", "low_pass"}, "low_pass"},
      {"setting in words", {"analyse", session, "--set", "low_pass=high"}, "low_pass"},
      {"setting with a unit", {"analyse", session, "--set", "low_pass=50Hz"}, "low_pass"},
      {"negative setting", {"analyse", session, "--set", "low_pass=-5"}, "low_pass"},
      {"setting that is no number", {"analyse", session, "--set", "low_pass=nan"}, "low_pass"},
      {"low-pass above half the rate", {"analyse", session, "--set", "low_pass=800"}, ""},
      {"no low-pass", {"analyse", session, "--set", "low_pass=0"}, ""}};
  const auto before = names_in(folder);
  for (const Mistake& mistake : mistakes) {
    const CommandRun run = run_command(mistake.arguments);
    CAPTURE(mistake.name, run.out, run.err);
    CHECK(run.code != 0);
    CHECK(run.out.empty());
    CHECK(one_sentence(run.err));
    CHECK(run.err.find(mistake.told) != std::string::npos);
    CHECK(names_in(folder) == before);
  }
  // A companion is no session, and says so.
  REQUIRE(run_command({"analyse", session}).code == 0);
  const CommandRun companion = run_command({"analyse", folder / "a.results.hdf5"});
  CHECK(companion.code != 0);
  CHECK(one_sentence(companion.err));
}
