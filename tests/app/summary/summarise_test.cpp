// SPDX-License-Identifier: GPL-3.0-or-later
// `moundwork summarise` as it is typed.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "app/index/queries.h"
#include "app/summary/pdf_tools.h"
#include "app/support/made_throw.h"
#include "app/support/run_command.h"
#include "core/summary/content.h"
#include "support/folder.h"

namespace {

namespace fs = std::filesystem;
namespace made = moundwork::test::made_throw;
namespace pdf = moundwork::test::pdf;
using moundwork::support::Folder;
using moundwork::test::CommandRun;
using moundwork::test::one_sentence;
using moundwork::test::run_command;
using nlohmann::json;

std::string text_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

bool holds(const std::string& text, const std::string& part) {
  CAPTURE(text, part);
  return text.find(part) != std::string::npos;
}

std::vector<std::string> names_in(const fs::path& folder) {
  std::vector<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder))
    names.push_back(entry.path().filename().string());
  std::sort(names.begin(), names.end());
  return names;
}

// A recording of one throw, with its release and ball speed; analysed or not.
fs::path import_made(const Folder& folder, const std::string& name, bool analysed,
                     const std::string& athlete = "A-17", bool with_birth = true) {
  made::write(folder / "made.c3d");
  const auto path = folder / (name + ".h5");
  std::vector<std::string> arguments{"import",
                                     "--c3d",
                                     folder / "made.c3d",
                                     "--back-plate",
                                     "1",
                                     "--lead-plate",
                                     "2",
                                     "--throws",
                                     "right",
                                     "--mass",
                                     "80kg",
                                     "--height",
                                     "1.80m",
                                     "--ball-speed",
                                     "130km/h",
                                     "--heel-marker",
                                     "HEEL",
                                     "--toe-marker",
                                     "TOE",
                                     "--release",
                                     "2.63s",
                                     "--name",
                                     "Ottilie Quernmoor",
                                     "--athlete",
                                     athlete,
                                     "--out",
                                     path};
  if (with_birth) arguments.insert(arguments.end(), {"--born", "2012-03-01"});
  const auto imported = run_command(arguments);
  CAPTURE(imported.err);
  REQUIRE(imported.code == 0);
  if (analysed) REQUIRE(run_command({"analyse", path}).code == 0);
  fs::remove(folder / "made.c3d");
  return path;
}

// A day of two athletes of two throws each, analysed.
void simulate_day(const fs::path& folder) {
  REQUIRE(run_command({"simulate", "--day", "--out", folder, "--athletes", "2", "--pitches", "2"})
              .code == 0);
  for (const char* name : {"athlete-01.h5", "athlete-02.h5"})
    REQUIRE(run_command({"analyse", folder / name}).code == 0);
}

}  // namespace

TEST_CASE("summarise: the figures are of the throw that was recorded", "[app]") {
  const Folder folder;
  const auto source = moundwork::summary::read_source(import_made(folder, "one", true));
  REQUIRE(source);
  const auto& forces = source->traces.forces;
  REQUIRE(forces.throws == 1);
  // Closed forms of support/made_throw; limits of the reference recordings: 2 ms, 1 %, 2 points.
  const double contact = made::lead_contact(0.05);
  REQUIRE(forces.drive_peak);
  CHECK(forces.drive_peak->time == Approx(made::drive_peak - contact).margin(0.002));
  REQUIRE(forces.release);
  CHECK(forces.release->time == Approx(2.63 - contact).margin(0.002));
  CHECK(forces.back_x.mean.maxCoeff() == Approx(made::drive_peak_bw).epsilon(0.01));
  CHECK(-forces.lead_x.mean.minCoeff() == Approx(made::braking_peak_bw).epsilon(0.01));
  CHECK(forces.lead_z.mean.maxCoeff() == Approx(made::vertical_peak_bw).epsilon(0.01));
  Eigen::Index peak = 0;
  forces.lead_x.mean.minCoeff(&peak);
  CHECK(forces.time(peak) == Approx(made::braking_peak - contact).margin(0.003));
  REQUIRE(source->traces.foot);
  CHECK(source->traces.foot->drive_peak.along == Approx(made::heel_toe).margin(2.0));
  for (const auto& point : source->traces.foot->drive)
    CHECK(point.along == Approx(made::heel_toe).margin(2.0));
  CHECK(source->traces.foot->toe_right);
}

TEST_CASE("summarise: one session, beside it, and never over what is there", "[app]") {
  const Folder folder;
  const auto session = import_made(folder, "one", true);
  const CommandRun run = run_command({"summarise", session, "--json", "--speed-unit", "km/h"});
  CAPTURE(run.err);
  REQUIRE(run.code == 0);
  CHECK(run.err.empty());
  const json told = json::parse(run.out);
  REQUIRE(told["pages"].size() == 1);
  CHECK(told["pages"][0]["athlete"] == "Ottilie Quernmoor");
  CHECK(told["pages"][0]["throws"] == 1);
  CHECK(told["cover"].empty());
  for (const auto& file : told["pages"][0]["files"]) CHECK(fs::exists(file.get<std::string>()));
  const std::string html = text_of(folder / "one.summary.html");
  CHECK(holds(html, "Ottilie Quernmoor"));
  CHECK(holds(html, "<b>130.0</b>"));  // as given on import
  CHECK(holds(html, "km/h"));

  const auto before = fs::last_write_time(folder / "one.summary.pdf");
  const CommandRun again = run_command({"summarise", session});
  CHECK(again.code == 1);
  CHECK(one_sentence(again.err));
  CHECK(holds(again.err, "--force"));
  CHECK(fs::last_write_time(folder / "one.summary.pdf") == before);
  CHECK(run_command({"summarise", session, "--force"}).code == 0);
}

TEST_CASE("summarise: what is refused, is refused in a sentence and leaves nothing", "[app]") {
  const Folder folder;
  const auto raw = import_made(folder, "raw", false);
  std::ofstream(folder / "counts.toml") << "source = 3\n";
  fs::create_directory(folder / "empty");
  const auto before = names_in(folder.path());
  const std::vector<std::pair<std::vector<std::string>, std::string>> mistakes{
      {{raw}, "has not been analysed"},
      {{folder / "none.h5"}, "no such file"},
      {{folder / "empty"}, "holds no session files"},
      {{folder / "counts.toml"}, "not an HDF5 file"},
      {{raw, "--pitch-counts", folder / "counts.toml"}, "names no source"},
      {{raw, "--previous", folder / "none.h5"}, "no such file"},
  };
  for (const auto& [arguments, words] : mistakes) {
    std::vector<std::string> all{"summarise"};
    all.insert(all.end(), arguments.begin(), arguments.end());
    const CommandRun run = run_command(all);
    CHECK(run.code == 1);
    CHECK(run.out.empty());
    CHECK(one_sentence(run.err));
    CHECK((holds(run.err, words) || holds(run.err, "has not been analysed")));
    CHECK(names_in(folder.path()) == before);
  }
}

TEST_CASE("summarise: excluded throws are told and not counted", "[app]") {
  const Folder folder;
  const auto session = import_made(folder, "one", true);
  REQUIRE(run_command({"edit", "exclude", session, "--throw", "1", "--who", "coach", "--why",
                       "foot slipped"})
              .code == 0);
  const CommandRun run = run_command({"summarise", session, "--html"});
  REQUIRE(run.code == 0);
  CHECK(holds(run.out, "0 of 1 throw counted"));
  CHECK_FALSE(fs::exists(folder / "one.summary.pdf"));
  CHECK(holds(text_of(folder / "one.summary.html"), "throw 1 (foot slipped)"));
}

TEST_CASE("summarise: a day by one command, with a cover sheet for the lab", "[app]") {
  const Folder folder;
  simulate_day(folder / "day");
  const CommandRun run = run_command({"summarise", folder / "day", "--out", folder / "pages"});
  CAPTURE(run.err);
  REQUIRE(run.code == 0);
  CHECK(names_in(folder / "pages") ==
        std::vector<std::string>{"athlete-01.summary.html", "athlete-01.summary.pdf",
                                 "athlete-02.summary.html", "athlete-02.summary.pdf",
                                 "cover-sheet.html", "cover-sheet.pdf"});
  CHECK(holds(text_of(folder / "pages" / "cover-sheet.html"), "2 sessions, 4 throws counted"));

  // One bad file is told, and the others are made.
  std::ofstream(folder / "day" / "bad.h5") << "no session";
  const CommandRun bad =
      run_command({"summarise", folder / "day", "--out", folder / "more", "--html", "--json"});
  CHECK(bad.code == 1);
  CHECK(one_sentence(bad.err));
  const json told = json::parse(bad.out);
  CHECK(told["pages"].size() == 2);
  CHECK(told["failed"].size() == 1);
  CHECK(holds(text_of(folder / "more" / "cover-sheet.html"), "bad.h5"));

  // With codes the sheet does not name the file; the one who typed still learns which it was.
  const CommandRun coded = run_command({"summarise", folder / "day", "--out", folder / "coded",
                                        "--html", "--pseudonymous", "--key", folder / "lab.key"});
  CHECK(holds(coded.err, "bad.h5"));
  CHECK(holds(text_of(folder / "coded" / "cover-sheet.html"), "not an HDF5 file"));
  CHECK_FALSE(holds(text_of(folder / "coded" / "cover-sheet.html"), "bad.h5"));
}

TEST_CASE("summarise: no name on, in or above a pseudonymous page", "[app]") {
  const Folder folder;
  const auto session = import_made(folder, "quernmoor", true);
  const CommandRun run = run_command({"summarise", session, "--pseudonymous", "--key",
                                      folder / "lab.key", "--out", folder / "pages"});
  CAPTURE(run.err);
  REQUIRE(run.code == 0);
  const auto names = names_in(folder / "pages");
  REQUIRE(names.size() == 2);
  std::string all = run.out;
  for (const auto& name : names) {
    all += name + '\n';
    CHECK(name.starts_with("P-"));
    if (name.ends_with(".html")) all += text_of(folder / "pages" / name);
    if (name.ends_with(".pdf") && pdf::can_read())
      all += pdf::run("pdftotext", folder / "pages" / name, "-") +
             pdf::run("pdfinfo", folder / "pages" / name);
  }
  for (const char* part : {"Ottilie", "uernmoor", "A-17", "2012"}) CHECK_FALSE(holds(all, part));
  CHECK(holds(all, "right-hander"));
}

TEST_CASE("summarise: pages are listed in the lab's index, which gives the others", "[app]") {
  const Folder folder;
  const auto session = import_made(folder, "one", true);
  const std::string index = folder / "index.sqlite";
  REQUIRE(run_command({"index", "add", session, "--index", index}).code == 0);
  REQUIRE(run_command({"summarise", session, "--index", index}).code == 0);
  CHECK(holds(text_of(folder / "one.summary.html"), "Not set beside others: under 18"));
  const auto address = moundwork::index::parse_address(index);
  REQUIRE(address);
  const auto opened = moundwork::index::open_index(*address, moundwork::index::Access::read);
  REQUIRE(opened);
  const auto listed = moundwork::index::exports(*opened, "A-17");
  REQUIRE(listed);
  REQUIRE(listed->size() == 2);
  CHECK(listed->front().kind == "summary");
}

TEST_CASE("summarise: sessions of one file name from two days are told apart", "[app]") {
  const Folder folder;
  fs::create_directories(folder / "day1");
  fs::create_directories(folder / "day2");
  for (const char* day : {"day1", "day2"}) {
    const auto session = import_made(folder, "athlete-01", true);
    fs::rename(session, folder / day / "athlete-01.h5");
    fs::rename(folder / "athlete-01.results.hdf5", folder / day / "athlete-01.results.hdf5");
  }
  const auto other = import_made(folder, "athlete-02", true);
  const CommandRun run = run_command({"summarise", folder / "day1", folder / "day2", other, "--out",
                                      folder / "pages", "--html", "--json"});
  CAPTURE(run.err);
  REQUIRE(run.code == 0);
  const auto names = names_in(folder / "pages");
  REQUIRE(names.size() == 4);
  CHECK(names[0].starts_with("athlete-01_"));
  CHECK(names[1].starts_with("athlete-01_"));
  CHECK(names[0] != names[1]);
  CHECK(names[2] == "athlete-02.summary.html");
  // Beside their sessions they have the sessions' names.
  REQUIRE(run_command({"summarise", folder / "day1", folder / "day2", "--html"}).code == 0);
  CHECK(fs::exists(folder / "day2" / "athlete-01.summary.html"));
}

TEST_CASE("summarise: a child stands beside others only when it is asked for", "[app]") {
  const Folder folder;
  std::vector<std::string> sessions;
  for (int i = 1; i <= 4; ++i)
    sessions.push_back(
        import_made(folder, "s" + std::to_string(i), true, "A-" + std::to_string(i)).string());
  const auto page = [&](const std::vector<std::string>& more) {
    std::vector<std::string> command{"summarise"};
    command.insert(command.end(), sessions.begin(), sessions.end());
    command.insert(command.end(), {"--html", "--force", "--out", folder / "pages"});
    command.insert(command.end(), more.begin(), more.end());
    const CommandRun run = run_command(command);
    CAPTURE(run.err);
    REQUIRE(run.code == 0);
    return text_of(folder / "pages" / "s1.summary.html");
  };
  const std::string unasked = page({});
  CHECK(holds(unasked, "under 18 that is done only when it is asked for"));
  CHECK_FALSE(holds(unasked, "of 3"));
  CHECK(holds(page({"--age-range", "1"}), "Beside 3 others summarised together"));
  CHECK(holds(page({"--any-age"}), "Others count at any age and size."));
  CHECK(run_command({"summarise", sessions[0], "--any-age", "--age-range", "1"}).code != 0);
}

TEST_CASE("summarise: without a date of birth an athlete has no place among like ages", "[app]") {
  const Folder folder;
  const auto young = import_made(folder, "young", true, "A-17");
  const auto unknown = import_made(folder, "unknown", true, "A-18", false);
  const CommandRun run = run_command({"summarise", young, unknown, "--age-range", "2", "--html",
                                      "--out", folder / "pages", "--json"});
  CAPTURE(run.err);
  CHECK(run.code == 0);
  CHECK(one_sentence(run.err));
  CHECK(holds(run.err, "unknown.h5: has no date of birth"));
  CHECK(json::parse(run.out)["remarks"].size() == 1);
  const std::string without = text_of(folder / "pages" / "unknown.summary.html");
  CHECK(holds(without, "No place among others of like age, since no date of birth was noted."));
  const std::string with = text_of(folder / "pages" / "young.summary.html");
  CHECK(holds(with, "1 other is left out, since the age is not known."));
}

TEST_CASE("summarise: a session of the group that was not analysed keeps no page back", "[app]") {
  const Folder folder;
  const auto one = import_made(folder, "one", true);
  const auto raw = import_made(folder, "raw", false, "A-18");
  const CommandRun run =
      run_command({"summarise", one, "--previous", raw, one, "--group", raw, one, "--html"});
  CAPTURE(run.err);
  CHECK(run.code == 0);
  CHECK(one_sentence(run.err));  // told once, though given twice
  CHECK(holds(run.err, "raw.h5: has not been analysed"));
  CHECK(fs::exists(folder / "one.summary.html"));
  // Where nothing given can be read, it was not meant so.
  const CommandRun none = run_command({"summarise", one, "--group", raw, "--html", "--force"});
  CHECK(none.code == 1);
  CHECK(one_sentence(none.err));
}
