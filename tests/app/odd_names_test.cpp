// SPDX-License-Identifier: GPL-3.0-or-later
// Names as other programs and old terminals hand them over.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "app/support/made_throw.h"
#include "app/support/run_command.h"
#include "core/base/utf8.h"
#include "support/folder.h"

namespace {

namespace fs = std::filesystem;
using moundwork::valid_utf8;
using moundwork::support::Folder;
using moundwork::test::run_command;

std::string run(const std::vector<std::string>& arguments) {
  const auto done = run_command(arguments);
  CAPTURE(arguments, done.err);
  REQUIRE(done.code == 0);
  return done.out;
}

}  // namespace

TEST_CASE("odd names: one in another encoding than UTF-8 ends no command and spoils no file",
          "[app]") {
  const Folder folder;
  moundwork::test::made_throw::write(folder / "made.c3d");
  const std::string session = folder / "made.h5";
  const std::string out = folder / "out";
  const std::string index = folder / "index.sqlite";
  const std::string latin1 = "Ren\xe9 Okander";  // ISO 8859-1
  run({"import", "--c3d", folder / "made.c3d", "--throws", "right", "--mass", "80kg", "--release",
       "2.63s", "--name", latin1, "--athlete", latin1, "--out", session, "--json"});
  std::vector<std::string> printed{run({"analyse", session, "--json"}),
                                   run({"analyse", session}),
                                   run({"edit", "tag", session, "--throw", "1", "--name", "cue",
                                        "--text", latin1, "--who", latin1, "--json"}),
                                   run({"edit", "list", session, "--json"}),
                                   run({"edit", "list", session}),
                                   run({"index", "add", session, "--index", index, "--json"}),
                                   run({"index", "list", "--index", index, "--json"}),
                                   run({"index", "list", "--index", index}),
                                   run({"export", session, "--out", out, "--json"}),
                                   run({"summarise", session, "--out", out, "--json"})};
  for (const std::string& text : printed) {
    CAPTURE(text);
    CHECK(valid_utf8(text) == text);
    if (text.starts_with('{') || text.starts_with('[')) CHECK(nlohmann::json::accept(text));
  }
  int tables_and_pages = 0;
  for (const auto& entry : fs::recursive_directory_iterator(out)) {
    if (entry.path().extension() != ".csv" && entry.path().extension() != ".html") continue;
    std::ifstream file(entry.path(), std::ios::binary);
    const std::string text(std::istreambuf_iterator<char>(file), {});
    CAPTURE(entry.path());
    CHECK(valid_utf8(text) == text);
    ++tables_and_pages;
  }
  CHECK(tables_and_pages >= 5);  // four tables and a page at the least
}

TEST_CASE("odd names: what a person typed acts on no terminal", "[app]") {
  const Folder folder;
  moundwork::test::made_throw::write(folder / "made.c3d");
  const std::string session = folder / "made.h5";
  const std::string index = folder / "index.sqlite";
  const std::string typed = "Bo\x1b]0;title\x07\r\n\u202eVarr";
  run({"import", "--c3d", folder / "made.c3d", "--throws", "right", "--mass", "80kg", "--release",
       "2.63s", "--name", typed, "--athlete", "A-7\n\x1b[2J", "--out", session});
  run({"analyse", session});
  run({"edit", "exclude", session, "--throw", "1", "--who", typed, "--why", typed});
  for (const std::string& text :
       {run({"analyse", session}), run({"edit", "list", session}),
        run({"index", "add", session, "--index", index}), run({"index", "list", "--index", index}),
        run({"summarise", session, "--out", folder / "out"}),
        run({"export", session, "--out", folder / "tables"})}) {
    CAPTURE(text);
    CHECK(text.find('\x1b') == std::string::npos);
    CHECK(text.find('\x07') == std::string::npos);
    CHECK(text.find('\r') == std::string::npos);
    CHECK(text.find("\u202e") == std::string::npos);
  }
}
