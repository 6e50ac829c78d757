// SPDX-License-Identifier: GPL-3.0-or-later
// From a recording that others made to the numbers, as a user types it.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "app/support/made_throw.h"
#include "app/support/run_command.h"
#include "support/c3d_reference.h"
#include "support/folder.h"

namespace {

using moundwork::support::Folder;
using moundwork::test::CommandRun;
using moundwork::test::run_command;
using nlohmann::json;
namespace made = moundwork::test::made_throw;

double value(const json& thrown, const char* group, const char* key) {
  CAPTURE(key);
  REQUIRE(thrown[group].contains(key));
  return thrown[group][key]["value"].get<double>();
}

json only_throw(const CommandRun& run) {
  CAPTURE(run.err);
  REQUIRE(run.code == 0);
  CHECK(run.err.empty());
  const json document = json::parse(run.out);
  REQUIRE(document["throws"].size() == 1);
  return document["throws"][0];
}

bool has_flag(const json& thrown, const std::string& flag) {
  return std::find(thrown["flags"].begin(), thrown["flags"].end(), flag) != thrown["flags"].end();
}

}  // namespace

TEST_CASE("import and analyse: a made C3D recording gives what its formulas say", "[app]") {
  const Folder folder;
  made::write(folder / "made.c3d");
  const std::string session = folder / "made.h5";
  constexpr double release = 2.63;
  const auto imported = run_command({"import",
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
                                     "--out",
                                     session});
  CAPTURE(imported.err);
  REQUIRE(imported.code == 0);
  const json thrown = only_throw(run_command({"analyse", session, "--json"}));

  // Closed forms of support/made_throw; limits of the reference recordings: 2 ms, 1 %, 2 points.
  constexpr double time_limit = 0.002;
  const double contact = made::lead_contact(0.05);
  CHECK(value(thrown, "events", "lead_contact") == Approx(contact).margin(time_limit));
  CHECK(value(thrown, "events", "drive_peak") == Approx(made::drive_peak).margin(time_limit));
  CHECK(value(thrown, "events", "braking_peak") == Approx(made::braking_peak).margin(time_limit));
  CHECK(value(thrown, "events", "release") == Approx(release).margin(1e-9));
  CHECK(value(thrown, "quantities", "drive_peak_force_bw") ==
        Approx(made::drive_peak_bw).epsilon(0.01));
  CHECK(value(thrown, "quantities", "braking_peak_force_bw") ==
        Approx(made::braking_peak_bw).epsilon(0.01));
  CHECK(value(thrown, "quantities", "vertical_peak_force_bw") ==
        Approx(made::vertical_peak_bw).epsilon(0.01));
  CHECK(value(thrown, "quantities", "braking_impulse") ==
        Approx(made::braking_impulse(contact, release)).epsilon(0.01));
  CHECK(value(thrown, "quantities", "braking_impulse_whole") ==
        Approx(made::braking_impulse(contact, made::touch + made::braking_length)).epsilon(0.01));
  CHECK(value(thrown, "quantities", "heel_toe_at_drive_peak") ==
        Approx(made::heel_toe).margin(2.0));
  CHECK(value(thrown, "quantities", "ball_speed") == Approx(130.0 / 3.6).epsilon(1e-12));
  for (const char* group : {"events", "quantities"})
    for (const auto& [key, measured] : thrown[group].items()) {
      CAPTURE(key);
      CHECK(std::isfinite(measured["value"].get<double>()));
      CHECK(measured["u"].get<double>() >= 0.0);
    }
}

TEST_CASE("import: plates found by who is loaded first; mass in pounds is the same mass", "[app]") {
  const Folder folder;
  made::write(folder / "made.c3d");
  // 80 / 0.45359237 lb, the pound by the agreement of 1959.
  const auto imported =
      run_command({"import", "--c3d", folder / "made.c3d", "--throws", "right", "--mass",
                   "176.36981lb", "--release", "2630ms", "--out", folder / "a.h5", "--json"});
  CAPTURE(imported.err);
  REQUIRE(imported.code == 0);
  const json report = json::parse(imported.out);
  CHECK(report["back_plate"] == 1);
  CHECK(report["lead_plate"] == 2);
  const json thrown = only_throw(run_command({"analyse", folder / "a.h5", "--json"}));
  CHECK(value(thrown, "quantities", "braking_peak_force_bw") ==
        Approx(made::braking_peak_bw).epsilon(0.01));
  CHECK(has_flag(thrown, "no_radar"));
}

TEST_CASE("import: a foot on two plates is measured from both", "[app]") {
  const Folder folder;
  constexpr double share = 0.2;
  made::write_on_three(folder / "made.c3d", share);
  const auto import_by = [&](const std::string& name, const std::vector<std::string>& plates) {
    std::vector<std::string> words{"import",   "--c3d",     folder / "made.c3d",
                                   "--throws", "right",     "--mass",
                                   "80kg",     "--release", "2.63s",
                                   "--json",   "--out",     folder / name};
    words.insert(words.end(), plates.begin(), plates.end());
    const auto imported = run_command(words);
    CAPTURE(imported.err);
    REQUIRE(imported.code == 0);
    return json::parse(imported.out);
  };
  const double contact = made::lead_contact(0.05);
  const double whole = made::braking_impulse(contact, 2.63);

  const json found = import_by("found.h5", {});
  CHECK(found["back_plates"] == json::array({1}));
  CHECK(found["lead_plates"] == json::array({2, 3}));
  CHECK(found["lead_plate"] == 2);
  const json summed = only_throw(run_command({"analyse", folder / "found.h5", "--json"}));
  CHECK(value(summed, "quantities", "braking_impulse") == Approx(whole).epsilon(0.01));
  CHECK(value(summed, "quantities", "vertical_peak_force_bw") ==
        Approx(made::vertical_peak_bw).epsilon(0.01));
  CHECK(value(summed, "events", "lead_contact") == Approx(contact).margin(0.002));
  CHECK_FALSE(has_flag(summed, "other_plate_loaded"));
  CHECK_FALSE(has_flag(summed, "foot_partly_off_plate"));

  CHECK(import_by("both.h5", {"--lead-plate", "3", "--lead-plate", "2"})["lead_plates"] ==
        json::array({3, 2}));
  const json asked = only_throw(run_command({"analyse", folder / "both.h5", "--json"}));
  CHECK(value(asked, "quantities", "braking_impulse") ==
        Approx(value(summed, "quantities", "braking_impulse")).epsilon(1e-9));

  // One named plate is that plate alone, and what is left out is said.
  CHECK(import_by("one.h5", {"--lead-plate", "2"})["lead_plates"] == json::array({2}));
  const auto table = run_command({"analyse", folder / "one.h5"});
  CHECK(table.out.find("plate 3 of the imported file") != std::string::npos);
  CHECK(table.out.find("20.0 % of the braking impulse") != std::string::npos);
  const json alone = only_throw(run_command({"analyse", folder / "one.h5", "--json"}));
  CHECK(has_flag(alone, "other_plate_loaded"));
  CHECK(value(alone, "quantities", "braking_peak_force_bw") ==
        Approx((1.0 - share) * made::braking_peak_bw).epsilon(0.01));

  for (const std::vector<std::string>& wrong :
       {std::vector<std::string>{"--lead-plate", "2", "--lead-plate", "2"},
        std::vector<std::string>{"--lead-plate", "1", "--back-plate", "1"},
        std::vector<std::string>{"--lead-plate", "4"}}) {
    std::vector<std::string> words{"import",   "--c3d", folder / "made.c3d",
                                   "--throws", "right", "--mass",
                                   "80kg",     "--out", folder / "no.h5"};
    words.insert(words.end(), wrong.begin(), wrong.end());
    const auto refused = run_command(words);
    CHECK(refused.code == 1);
    CHECK(moundwork::test::one_sentence(refused.err));
    CHECK_FALSE(std::filesystem::exists(folder / "no.h5"));
  }
}

TEST_CASE("import: a back foot on two plates is not taken for both feet", "[app]") {
  const Folder folder;
  for (const double share : {0.5, 0.3, 0.05}) {
    CAPTURE(share);
    made::write_on_two_back(folder / "made.c3d", share);
    for (const bool named : {false, true}) {
      std::vector<std::string> words{"import",  "--c3d", folder / "made.c3d", "--throws", "right",
                                     "--mass",  "80kg",  "--release",         "2.63s",    "--json",
                                     "--force", "--out", folder / "back.h5"};
      if (named) words.insert(words.end(), {"--back-plate", "1", "--back-plate", "3"});
      const auto imported = run_command(words);
      CAPTURE(imported.err, imported.out);
      REQUIRE(imported.code == 0);
      const json report = json::parse(imported.out);
      CHECK(report["back_plates"] == json::array({1, 3}));
      CHECK(report["lead_plates"] == json::array({2}));
      const json thrown = only_throw(run_command({"analyse", folder / "back.h5", "--json"}));
      CHECK(value(thrown, "quantities", "drive_peak_force_bw") ==
            Approx(made::drive_peak_bw).epsilon(0.01));
      CHECK(value(thrown, "quantities", "braking_peak_force_bw") ==
            Approx(made::braking_peak_bw).epsilon(0.01));
    }
  }
}

TEST_CASE("export: a foot on two plates has a trace of both and of each, and three C3D plates",
          "[app]") {
  const Folder folder;
  made::write_on_three(folder / "made.c3d", 0.3);
  REQUIRE(run_command({"import", "--c3d", folder / "made.c3d", "--throws", "right", "--mass",
                       "80kg", "--release", "2.63s", "--out", folder / "a.h5"})
              .code == 0);
  REQUIRE(run_command({"analyse", folder / "a.h5"}).code == 0);
  const auto exported = run_command(
      {"export", folder / "a.h5", "--out", folder / "out", "--traces", "--format", "c3d"});
  CAPTURE(exported.err);
  REQUIRE(exported.code == 0);
  std::vector<std::string> traces;
  for (const auto& entry : std::filesystem::directory_iterator(folder.path() / "out" / "traces"))
    traces.push_back(entry.path().filename().string());
  const auto ending = [&](const std::string& end) {
    return std::count_if(traces.begin(), traces.end(),
                         [&](const std::string& name) { return name.ends_with(end); });
  };
  CHECK(ending("_back.csv") == 1);
  CHECK(ending("_lead.csv") == 1);
  CHECK(ending("_lead_plate-1.csv") == 1);
  CHECK(ending("_lead_plate-2.csv") == 1);
  CHECK(ending("_back_plate-1.csv") == 0);
  // What was exported is imported again with the same numbers.
  std::string c3d;
  for (const auto& entry : std::filesystem::directory_iterator(folder.path() / "out" / "c3d"))
    c3d = entry.path().string();
  const auto again = run_command({"import", "--c3d", c3d, "--throws", "right", "--mass", "80kg",
                                  "--release", "2.63s", "--out", folder / "b.h5", "--json"});
  CAPTURE(again.err);
  REQUIRE(again.code == 0);
  CHECK(json::parse(again.out)["lead_plates"] == json::array({2, 3}));
}

TEST_CASE("analyse: the table for people names the throw, and results lie beside the data",
          "[app]") {
  const Folder folder;
  made::write(folder / "made.c3d");
  REQUIRE(run_command({"import", "--c3d", folder / "made.c3d", "--throws", "right", "--mass",
                       "80kg", "--out", folder / "a.h5"})
              .code == 0);
  const auto before = std::filesystem::file_size(folder / "a.h5");
  const auto quiet = run_command({"analyse", folder / "a.h5", "--no-save"});
  CHECK(quiet.code == 0);
  CHECK_FALSE(std::filesystem::exists(folder / "a.results.hdf5"));
  const auto run = run_command({"analyse", folder / "a.h5"});
  CHECK(run.code == 0);
  CHECK(run.out == quiet.out);
  CHECK(run.out.find("1 throw\n") != std::string::npos);
  CHECK(run.out.find("±") != std::string::npos);
  // Nothing told the release.
  CHECK(run.out.find("nothing measured the release") != std::string::npos);
  CHECK(std::filesystem::exists(folder / "a.results.hdf5"));
  CHECK(std::filesystem::file_size(folder / "a.h5") == before);
}

TEST_CASE("analyse: budget, settings and several files", "[app]") {
  const Folder folder;
  made::write(folder / "made.c3d");
  for (const char* name : {"a.h5", "b.h5"})
    REQUIRE(run_command({"import", "--c3d", folder / "made.c3d", "--throws", "right", "--mass",
                         "80kg", "--release", "2.63s", "--out", folder / name})
                .code == 0);
  const auto run = run_command({"analyse", folder / "a.h5", folder / "b.h5", "--json", "--budget",
                                "--set", "contact_level=0.1"});
  REQUIRE(run.code == 0);
  const json document = json::parse(run.out);
  CHECK(document["throws"].size() == 2);
  CHECK(document["sessions"].size() == 2);
  CHECK(document["settings"]["contact_level"] == 0.1);
  CHECK(document["units"]["braking_impulse"] == "N s");
  const json& contact = document["throws"][0]["events"]["lead_contact"];
  CHECK(contact["value"].get<double>() == Approx(made::lead_contact(0.1)).margin(0.002));
  // A budget adds up to its uncertainty (JCGM 100, 5.1.2).
  const json& impulse = document["throws"][0]["quantities"]["braking_impulse"];
  double sum = 0.0;
  for (const auto& [source, part] : impulse["budget"].items())
    if (source != "thresholds_a_fifth_higher") sum += std::pow(part.get<double>(), 2);
  CHECK(std::sqrt(sum) == Approx(impulse["u"].get<double>()).epsilon(1e-9));

  // A bad file of a day does not keep the others back.
  const auto mixed = run_command({"analyse", folder / "no.h5", folder / "b.h5", "--json"});
  CHECK(mixed.code == 1);
  CHECK(moundwork::test::one_sentence(mixed.err));
  CHECK(json::parse(mixed.out)["throws"].size() == 1);
}

TEST_CASE("import and analyse: the real reference pitch", "[app]") {
  const auto pitch = moundwork::test::reference_file("pitch-a.c3d");
  if (!pitch) {
    WARN("SKIPPED: the reference recording pitch-a.c3d is not there");
    return;
  }
  const Folder folder;
  const auto imported =
      run_command({"import",        "--c3d",    pitch->string(), "--back-plate", "2",
                   "--lead-plate",  "3",        "--throws",      "right",        "--mass",
                   "95.7kg",        "--height", "1.854m",        "--ball-speed", "91.8mph",
                   "--heel-marker", "RHEE",     "--toe-marker",  "RTOE",         "--release",
                   "1.3833s",       "--out",    folder / "a.h5"});
  CAPTURE(imported.err);
  REQUIRE(imported.code == 0);
  const json thrown = only_throw(run_command({"analyse", folder / "a.h5", "--json"}));
  // Values and limits: the reference recordings' own page, found with other programs.
  CHECK(value(thrown, "events", "lead_contact") == Approx(1.2560).margin(0.002));
  CHECK(value(thrown, "events", "drive_peak") == Approx(1.0778).margin(0.002));
  CHECK(value(thrown, "events", "braking_peak") == Approx(1.3417).margin(0.002));
  CHECK(value(thrown, "quantities", "drive_peak_force_bw") == Approx(0.684).epsilon(0.01));
  CHECK(value(thrown, "quantities", "braking_peak_force_bw") == Approx(1.418).epsilon(0.01));
  CHECK(value(thrown, "quantities", "vertical_peak_force_bw") == Approx(2.392).epsilon(0.01));
  CHECK(value(thrown, "quantities", "braking_impulse") == Approx(120.05).epsilon(0.01));
  CHECK(value(thrown, "quantities", "contact_to_release") == Approx(0.1273).margin(0.002));
  CHECK(value(thrown, "quantities", "braking_timing") == Approx(-0.0416).margin(0.002));
  CHECK(value(thrown, "quantities", "heel_toe_at_drive_peak") == Approx(69.4).margin(2.0));
  CHECK(value(thrown, "quantities", "ball_speed") == Approx(91.8 * 0.44704).epsilon(1e-12));

  // The plate that was left out carries 1.5 % of the braking, and that is said.
  CHECK(has_flag(thrown, "other_plate_loaded"));

  // Plates 1 and 3 together, which is what the lead foot loads. Values: the same page, found with
  // an open reader of the format and SciPy, to 0.2 %.
  const auto summed =
      run_command({"import", "--c3d", pitch->string(), "--throws", "right", "--mass", "95.7kg",
                   "--release", "1.3833s", "--out", folder / "both.h5", "--json"});
  REQUIRE(summed.code == 0);
  CHECK(json::parse(summed.out)["back_plates"] == json::array({2}));
  CHECK(json::parse(summed.out)["lead_plates"] == json::array({1, 3}));
  CHECK(json::parse(summed.out)["lead_plate"] == 3);
  const json both = only_throw(run_command({"analyse", folder / "both.h5", "--json"}));
  CHECK(value(both, "events", "lead_contact") == Approx(1.2563).margin(0.0005));
  CHECK(value(both, "events", "braking_peak") == Approx(1.3419).margin(0.0005));
  CHECK(value(both, "quantities", "braking_peak_force_bw") == Approx(1.4424).epsilon(0.002));
  CHECK(value(both, "quantities", "vertical_peak_force_bw") == Approx(2.4010).epsilon(0.002));
  CHECK(value(both, "quantities", "braking_impulse") == Approx(121.99).epsilon(0.002));
  CHECK_FALSE(has_flag(both, "other_plate_loaded"));
  CHECK(value(thrown, "quantities", "braking_impulse") == Approx(120.10).epsilon(0.002));

  // The release from the hand marker's greatest speed instead of a typed one.
  const auto by_marker = run_command({"import", "--c3d", pitch->string(), "--back-plate", "2",
                                      "--lead-plate", "3", "--throws", "right", "--mass", "95.7kg",
                                      "--release-marker", "RFIN", "--out", folder / "b.h5"});
  REQUIRE(by_marker.code == 0);
  const json again = only_throw(run_command({"analyse", folder / "b.h5", "--json"}));
  CHECK(value(again, "events", "release") == Approx(1.3833).margin(0.002));
}
