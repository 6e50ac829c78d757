// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/import.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <CLI/CLI.hpp>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "app/cli/error_words.h"
#include "app/cli/given_quantities.h"
#include "app/cli/json_text.h"
#include "app/cli/progress.h"
#include "core/base/units.h"
#include "core/intake/c3d_import.h"
#include "core/intake/delimited_import.h"
#include "core/intake/usual_uncertainty.h"
#include "core/plate/lab_axes.h"

namespace moundwork::cli {
namespace {

namespace usual_u = intake::usual_u;

struct ImportOptions {
  std::string c3d, table, settings, out;
  std::vector<int> back_plates, lead_plates;
  std::string throws, mass, height, ball_speed;
  std::string mass_u = fmt::format("{}kg", usual_u::mass),
              height_u = fmt::format("{}m", usual_u::height), ball_speed_u = "0.25m/s";
  std::string heel_marker, toe_marker, release_marker, release, foot_length;
  std::vector<double> heel, toe;
  std::string release_u = "5ms";
  std::string temperature, pressure;
  std::string home_axis = "+x", up_axis = "+z";
  std::string athlete, name, born, zone;
  bool force = false, json = false;
};

Result<intake::Facts> facts_of(const ImportOptions& options) {
  GivenQuantities read;
  intake::Facts facts;
  facts.athlete_id = options.athlete;
  facts.athlete_name = options.name;
  facts.born = options.born;
  facts.zone = options.zone;
  if (!options.throws.empty())
    facts.throws = options.throws == "left" ? session::Hand::left : session::Hand::right;
  facts.mass = read.measured(options.mass, options.mass_u, Dimension::mass, "--mass");
  facts.height = read.measured(options.height, options.height_u, Dimension::length, "--height");
  const Measured speed =
      read.measured(options.ball_speed, options.ball_speed_u, Dimension::speed, "--ball-speed");
  if (speed.known()) facts.ball_speed = session::KnownBallSpeed{speed, options.ball_speed};
  const Measured release =
      read.measured(options.release, options.release_u, Dimension::time, "--release");
  if (release.known())
    facts.release =
        session::KnownRelease{session_time(release.value), release.u, "given on import"};
  facts.foot_length = read(options.foot_length, Dimension::length, "--foot-length");
  facts.conditions.temperature = read.measured(options.temperature, usual_u::temperature,
                                               Dimension::temperature, "--temperature");
  facts.conditions.pressure =
      read.measured(options.pressure, usual_u::pressure, Dimension::pressure, "--pressure");
  if (!options.heel.empty() && !options.toe.empty())
    facts.heel_and_toe =
        std::pair{Eigen::Vector3d(options.heel.data()), Eigen::Vector3d(options.toe.data())};
  facts.back_plates = options.back_plates;
  facts.lead_plates = options.lead_plates;
  if (read.error()) return tl::make_unexpected(*read.error());
  return facts;
}

Result<intake::ImportReport> import(const ImportOptions& options) {
  std::error_code status;
  if (!options.force && std::filesystem::exists(options.out, status))
    return fail(options.out, "is there already", "name another file, or add --force");
  for (const std::string& source : {options.c3d, options.table, options.settings})
    if (!source.empty() && std::filesystem::equivalent(source, options.out, status))
      return fail(options.out, "is what shall be imported, and would be written over",
                  "name another file");
  const auto facts = facts_of(options);
  if (!facts) return tl::make_unexpected(facts.error());
  if (!options.c3d.empty()) {
    const auto to_lab =
        plate::lab_axes(options.home_axis, options.up_axis, "--home-axis and --up-axis");
    if (!to_lab) return tl::make_unexpected(to_lab.error());
    intake::C3dRequest request;
    request.facts = *facts;
    request.to_lab = *to_lab;
    const auto named = [](const std::string& marker) {
      return marker.empty() ? std::nullopt : std::optional(marker);
    };
    request.heel_marker = named(options.heel_marker);
    request.toe_marker = named(options.toe_marker);
    request.release_marker = named(options.release_marker);
    return intake::import_c3d(options.c3d, request, options.out);
  }
  ProgressLine line;
  return intake::import_delimited(options.table, options.settings, *facts, options.out,
                                  line.of(options.table));
}

void print_report(const intake::ImportReport& report, const ImportOptions& options) {
  if (options.json) {
    std::cout << json_text({{"session", options.out},
                            {"back_plate", report.back_plate},
                            {"back_plates", report.back_plates},
                            {"lead_plate", report.lead_plate},
                            {"lead_plates", report.lead_plates},
                            {"duration", report.duration},
                            {"remarks", report.remarks}})
              << '\n';
    return;
  }
  const auto plates = [](const std::vector<int>& numbers) {
    return fmt::format("{} {}", numbers.size() == 1 ? "plate" : "plates",
                       fmt::join(numbers, " and "));
  };
  std::cout << fmt::format("{}: {:.2f} s, back foot on {}, lead foot on {}\n", options.out,
                           report.duration, plates(report.back_plates), plates(report.lead_plates));
  for (const std::string& remark : report.remarks) std::cout << "  " << remark << '\n';
}

}  // namespace

void add_import(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<ImportOptions>();
  ImportOptions& o = *options;
  CLI::App* command =
      app.add_subcommand("import", "Make a session file of a C3D or delimited text recording");
  auto* source = command->add_option_group("source", "One of these");
  source->add_option("--c3d", o.c3d, "C3D recording");
  auto* table = source->add_option("--table", o.table, "Delimited text recording");
  source->require_option(1);
  command->add_option("--settings", o.settings, "What the table's columns are (TOML)")
      ->needs(table);
  command->add_option("--out", o.out, "Session file to write")->required();
  command
      ->add_option("--back-plate", o.back_plates,
                   "Number of a plate under the back foot in the C3D file, as often as there are "
                   "such plates; default: those that it loads")
      ->take_all();
  command
      ->add_option("--lead-plate", o.lead_plates,
                   "Number of a plate under the lead foot, as often as there are such plates; "
                   "default: those that it loads")
      ->take_all();
  command->add_option("--throws", o.throws, "Throwing hand")
      ->check(CLI::IsMember({"right", "left"}));
  command->add_option("--mass", o.mass, "Body mass, such as 88.5kg or 195lb");
  command->add_option("--mass-u", o.mass_u, "Its standard uncertainty")->capture_default_str();
  command->add_option("--height", o.height, "Body height, such as 1.85m or 73in");
  command->add_option("--height-u", o.height_u, "Its standard uncertainty")->capture_default_str();
  command->add_option("--ball-speed", o.ball_speed, "Ball speed, such as 36m/s, 130km/h or 81mph");
  command->add_option("--ball-speed-u", o.ball_speed_u, "Its standard uncertainty")
      ->capture_default_str();
  command->add_option("--heel-marker", o.heel_marker, "Label of the back foot's heel marker");
  command->add_option("--toe-marker", o.toe_marker, "Label of the back foot's toe marker");
  auto* heel =
      command->add_option("--heel", o.heel, "Measured heel, x y z in m (lab)")->expected(3);
  command->add_option("--toe", o.toe, "Measured toe, x y z in m (lab)")->expected(3)->needs(heel);
  command->add_option("--foot-length", o.foot_length,
                      "Foot length, for a foot line estimated against the rubber");
  auto* release = command->add_option("--release", o.release, "Release from the recording's start");
  command->add_option("--release-u", o.release_u, "Its standard uncertainty")
      ->capture_default_str();
  command
      ->add_option("--release-marker", o.release_marker,
                   "Hand marker whose greatest speed is taken as release")
      ->excludes(release);
  command->add_option("--temperature", o.temperature, "Air temperature, such as 21C");
  command->add_option("--pressure", o.pressure, "Air pressure, such as 1009hPa");
  command->add_option("--home-axis", o.home_axis, "C3D axis toward home plate")
      ->capture_default_str();
  command->add_option("--up-axis", o.up_axis, "C3D axis pointing up")->capture_default_str();
  command->add_option("--athlete", o.athlete, "Athlete's identity in the lab");
  command->add_option("--name", o.name, "Athlete's name");
  command->add_option("--born", o.born, "Date of birth, YYYY-MM-DD");
  command->add_option("--zone", o.zone,
                      "Time zone of the place, such as America/Los_Angeles; the lab's, else this "
                      "computer's, if left out");
  command->add_flag("--force", o.force, "Write over a session file that is there");
  command->add_flag("--json", o.json, "Print what was done as JSON");
  command->callback([options, &exit_code] {
    const auto report = import(*options);
    if (!report) {
      std::cerr << "moundwork import: " << error_words(report.error()) << '\n';
      exit_code = 1;
      return;
    }
    print_report(*report, *options);
  });
}

}  // namespace moundwork::cli
