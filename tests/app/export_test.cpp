// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "app/support/made_throw.h"
#include "app/support/run_command.h"
#include "core/session/edit_list.h"
#include "core/session/results.h"
#include "support/folder.h"

using moundwork::support::Folder;
using moundwork::test::one_sentence;
using moundwork::test::run_command;
namespace fs = std::filesystem;
namespace made = moundwork::test::made_throw;

namespace {

// An analysed session of one throw whose forces are formulas.
fs::path make_session(const Folder& folder, const std::string& name, const std::string& athlete) {
  const fs::path recording = folder / (name + "-recorded.c3d");
  made::write(recording);
  const fs::path session = folder / (name + ".h5");
  REQUIRE(run_command({"import",
                       "--c3d",
                       recording.string(),
                       "--out",
                       session.string(),
                       "--mass",
                       "80kg",
                       "--throws",
                       "right",
                       "--name",
                       athlete,
                       "--athlete",
                       name,
                       "--born",
                       "2004-05-06",
                       "--heel-marker",
                       "HEEL",
                       "--toe-marker",
                       "TOE",
                       "--release",
                       "2.62s",
                       "--release-u",
                       "2ms"})
              .code == 0);
  REQUIRE(run_command({"analyse", session.string()}).code == 0);
  return session;
}

std::string contents(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

std::vector<fs::path> files_below(const fs::path& folder) {
  std::vector<fs::path> files;
  for (const auto& entry : fs::recursive_directory_iterator(folder))
    if (entry.is_regular_file()) files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  return files;
}

}  // namespace

TEST_CASE("export: what is listed is what is there", "[app]") {
  const Folder folder;
  const auto session = make_session(folder, "A-07", "Mara Quill");
  const auto out = folder / "out";
  const auto run =
      run_command({"export", session.string(), "--out", out.string(), "--format", "csv", "--format",
                   "hdf5", "--format", "c3d", "--traces", "--json"});
  REQUIRE(run.code == 0);
  CHECK(run.err.empty());
  const auto json = nlohmann::json::parse(run.out);
  CHECK(json["sessions"] == 1);
  CHECK(json["throws"] == 1);
  CHECK(json["excluded"] == 0);
  CHECK(json["pseudonymous"] == false);
  std::vector<fs::path> listed;
  for (const auto& file : json["files"]) listed.emplace_back(file.get<std::string>());
  std::sort(listed.begin(), listed.end());
  CHECK(listed == files_below(out));
  CHECK(listed.size() == 10);  // five tables, HDF5, C3D, two traces and their definitions
}

TEST_CASE("export: a throw's C3D file, imported and analysed again, gives the same numbers",
          "[app]") {
  const Folder folder;
  const auto session = make_session(folder, "A-07", "Mara Quill");
  REQUIRE(run_command(
              {"export", session.string(), "--out", (folder / "out").string(), "--format", "c3d"})
              .code == 0);
  const auto recordings = files_below(folder / "out");
  REQUIRE(recordings.size() == 1);
  REQUIRE(run_command({"import", "--c3d", recordings[0].string(), "--out",
                       (folder / "again.h5").string(), "--mass", "80kg", "--throws", "right",
                       "--heel-marker", "HEEL", "--toe-marker", "TOE", "--back-plate", "1",
                       "--lead-plate", "2"})
              .code == 0);
  const auto analysed = [](const fs::path& path) {
    const auto run = run_command({"analyse", path.string(), "--json", "--no-save"});
    REQUIRE(run.code == 0);
    return nlohmann::json::parse(run.out)["throws"].at(0);
  };
  const auto before = analysed(session);
  const auto after = analysed(folder / "again.h5");
  const double shift = before["events"]["lead_contact"]["value"].get<double>() -
                       after["events"]["lead_contact"]["value"].get<double>();
  // Single precision: forces to 1e-4 N of 1000, times to a microsecond. Release is not imported.
  for (const char* key : {"drive_start", "drive_peak", "braking_peak", "vertical_peak"}) {
    CAPTURE(key);
    CHECK(after["events"][key]["value"].get<double>() + shift ==
          Approx(before["events"][key]["value"].get<double>()).margin(1e-5));
  }
  for (const char* key : {"drive_impulse", "braking_impulse_whole", "braking_peak_force",
                          "vertical_peak_force", "heel_toe_at_drive_peak", "stride_length"}) {
    CAPTURE(key);
    REQUIRE(before["quantities"].contains(key));
    CHECK(after["quantities"][key]["value"].get<double>() ==
          Approx(before["quantities"][key]["value"].get<double>()).epsilon(1e-5));
  }
  // The formula that the recording was made from.
  CHECK(after["quantities"]["heel_toe_at_drive_peak"]["value"].get<double>() ==
        Approx(made::heel_toe).margin(0.1));
}

TEST_CASE("export: an excluded throw is there, marked, with its reason made harmless", "[app]") {
  const Folder folder;
  const auto session = make_session(folder, "A-07", "Mara Quill");
  const auto results = moundwork::session::read_results(session);
  REQUIRE(results);
  moundwork::session::Edit edit;
  edit.when = "2026-05-04T10:00:00Z";
  edit.who = "Tamsin Oake";
  edit.why = "=1+1, Mara slipped";
  edit.action = moundwork::session::Action::exclude;
  edit.throw_contact = moundwork::seconds(results->throws.at(0).contact);
  REQUIRE(moundwork::session::append_edit(session, edit));
  const auto out = folder / "out";
  const auto run = run_command({"export", session.string(), "--out", out.string()});
  REQUIRE(run.code == 0);
  CHECK(run.out.find("1 marked as excluded") != std::string::npos);
  CHECK(contents(out / "throws.csv").find("true,\"'=1+1, Mara slipped\"") != std::string::npos);
}

TEST_CASE("export: codes are the same in every command, and names are nowhere", "[app]") {
  const Folder folder;
  const auto mara = make_session(folder, "A-07", "Mara Quill");
  const auto orin = make_session(folder, "A-08", "Orin Vasker");
  const std::string key = (folder / "lab.key").string();
  const auto exported = [&](const char* to, const std::vector<std::string>& sessions) {
    std::vector<std::string> arguments{"export"};
    arguments.insert(arguments.end(), sessions.begin(), sessions.end());
    for (const std::string& more :
         {std::string("--out"), (folder / to).string(), std::string("--format"), std::string("csv"),
          std::string("--format"), std::string("hdf5"), std::string("--format"), std::string("c3d"),
          std::string("--traces"), std::string("--pseudonymous"), std::string("--key"), key})
      arguments.push_back(more);
    const auto run = run_command(arguments);
    REQUIRE(run.code == 0);
    return contents(folder / to / "throws.csv");
  };
  const std::string one = exported("one", {mara.string()});
  const std::string both = exported("both", {orin.string(), mara.string()});
  const auto at = one.find("\r\nP-");
  REQUIRE(at != std::string::npos);
  const std::string code = one.substr(at + 2, 12);
  CHECK(both.find(code) != std::string::npos);
  for (const auto& file : files_below(folder / "both")) {
    const std::string text = file.filename().string() + contents(file);
    for (const char* name : {"Mara", "Quill", "Orin", "Vasker", "A-07", "A-08", "2004-05-06"}) {
      CAPTURE(file, name);
      CHECK(text.find(name) == std::string::npos);
    }
  }
}

TEST_CASE("export: what is listed in an index goes with the athlete", "[app]") {
  const Folder folder;
  const auto session = make_session(folder, "A-07", "Mara Quill");
  const auto index = (folder / "lab.index").string();
  REQUIRE(run_command({"index", "add", session.string(), "--index", index}).code == 0);
  REQUIRE(run_command({"export", session.string(), "--out", (folder / "out").string(), "--format",
                       "csv", "--format", "c3d", "--pseudonymous", "--key",
                       (folder / "lab.key").string(), "--index", index})
              .code == 0);
  CHECK(files_below(folder / "out").size() == 6);
  const auto run = run_command({"forget", "A-07", "--index", index, "--yes"});
  CAPTURE(run.out, run.err);
  CHECK(run.code == 0);
  CHECK(files_below(folder / "out").empty());
}

TEST_CASE("export: mistakes are one sentence and leave nothing behind", "[app]") {
  const Folder folder;
  const auto session = make_session(folder, "A-07", "Mara Quill");
  const std::string s = session.string();
  const std::string out = (folder / "out").string();
  const fs::path raw = folder / "raw.h5";
  fs::copy_file(session, raw);  // without its results
  std::ofstream(folder / "no.key") << "not a key\n";
  std::ofstream(folder / "a-file") << "text";
  const auto before = files_below(folder.path());
  const std::string companion = moundwork::session::companion_path(session).string();
  for (const auto& run :
       {run_command({"export", (folder / "none.h5").string(), "--out", out}),
        run_command({"export", raw.string(), "--out", out}),
        run_command({"export", s, s, "--out", out}),
        run_command({"export", s, raw.string(), "--out", out, "--format", "c3d"}),
        run_command({"export", s, "--out", s, "--force"}),
        run_command({"export", s, "--out", companion, "--format", "hdf5", "--force"}),
        run_command({"export", s, "--out", (folder / "x.hdf5").string()}),
        run_command({"export", s, "--out", (folder / "x.csv").string()}),
        run_command({"export", s, "--out", (folder / "a-file").string()}),
        run_command({"export", s, "--out", out, "--pseudonymous", "--key",
                     (folder / "no.key").string()})}) {
    CAPTURE(run.err);
    CHECK(run.code == 1);
    CHECK(one_sentence(run.err));
    CHECK(run.out.empty());
  }
  CHECK(files_below(folder.path()) == before);
  CHECK(!fs::exists(out));

  const auto tables = (folder / "x.hdf5").string();
  REQUIRE(run_command({"export", s, "--out", tables, "--format", "hdf5"}).code == 0);
  const auto again = run_command({"export", s, "--out", tables, "--format", "hdf5"});
  CHECK(again.code == 1);
  CHECK(again.err.find("--force") != std::string::npos);
  CHECK(run_command({"export", s, "--out", tables, "--format", "hdf5", "--force"}).code == 0);
}
