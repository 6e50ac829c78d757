// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/weigh_in.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <chrono>
#include <filesystem>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <thread>

#include "app/cli/error_words.h"
#include "app/cli/json_text.h"
#include "core/base/units.h"
#include "core/base/wall_time.h"
#include "core/weigh_in/weigh_in.h"
#include "core/weigh_in/weigh_in_file.h"
#include "drivers/recorder/short_recording.h"

namespace moundwork::cli {
namespace {

using weigh_in::WeighIn;

struct WeighInOptions {
  std::string station, out, athlete, throws = "right";
  std::string empty = "3s", stand = "8s", stance = "8s";
  bool mass_only = false, force = false, json = false;
};

struct Lengths {
  double empty = 0.0, stand = 0.0, stance = 0.0;  // s
};

Result<Lengths> lengths_of(const WeighInOptions& options) {
  const auto empty = parse_quantity(options.empty, Dimension::time, "--empty");
  const auto stand = parse_quantity(options.stand, Dimension::time, "--stand");
  const auto stance = parse_quantity(options.stance, Dimension::time, "--stance");
  for (const auto* length : {&empty, &stand, &stance}) {
    if (!*length) return tl::make_unexpected(length->error());
    if (!(**length >= 1.0 && **length <= 600.0))
      return fail("weigh-in", "a part of it is not between 1 s and 10 min");
  }
  return Lengths{*empty, *stand, *stance};
}

/// The people's part of the recording, by session time.
struct Parts {
  foot::TimeSpan stand, heel, toe;
};

Parts prompt(drivers::Capture& capture, const Lengths& lengths, bool mass_only) {
  const auto part = [&](double length, const char* words) {
    std::cerr << words << fmt::format(" ({:.0f} s)\n", length);
    foot::TimeSpan span;
    span.begin = seconds(capture.now());
    std::this_thread::sleep_for(std::chrono::duration<double>(length));
    span.end = seconds(capture.now());
    return span;
  };
  Parts parts;
  (void)part(lengths.empty, "Everybody off the plates");
  parts.stand = part(lengths.stand, "Step on and stand still, arms hanging");
  if (mass_only) return parts;
  parts.heel =
      part(lengths.stance, "Back foot where it lies for a throw, weight on its heel, toes up");
  parts.toe = part(lengths.stance, "Leave the foot there, weight on its toes, heel up");
  return parts;
}

Result<weigh_in::StancePoint> stance(const session::Reader& reader, foot::TimeSpan span,
                                     double mass, const char* what) {
  const auto stands = weigh_in::stands_of(reader, span);
  if (!stands) return tl::make_unexpected(stands.error());
  return weigh_in::back_stance(*stands, mass, what);
}

Result<WeighIn> evaluate(const session::Reader& reader, const Parts& parts,
                         const WeighInOptions& options) {
  WeighIn found;
  const auto stands = weigh_in::stands_of(reader, parts.stand);
  if (!stands) return tl::make_unexpected(stands.error());
  const auto mass = weigh_in::body_mass(*stands);
  if (!mass) return tl::make_unexpected(mass.error());
  found.mass = *mass;
  if (options.mass_only) return found;
  const auto heel = stance(reader, parts.heel, mass->value, "heel");
  if (!heel) return tl::make_unexpected(heel.error());
  const auto toe = stance(reader, parts.toe, mass->value, "toe");
  if (!toe) return tl::make_unexpected(toe.error());
  const auto line = weigh_in::foot_line(
      *heel, *toe, options.throws == "left" ? session::Hand::left : session::Hand::right);
  if (!line) return tl::make_unexpected(line.error());
  found.foot_line = *line;
  return found;
}

void print_weigh_in(const WeighIn& found, bool json) {
  if (json) {
    nlohmann::ordered_json document{
        {"athlete", found.athlete},
        {"made", found.made},
        {"mass_kg", {{"value", found.mass.value}, {"u", found.mass.u}}}};
    if (found.foot_line) {
      const auto& line = *found.foot_line;
      const auto place = [](const Eigen::Vector3d& p) {
        return nlohmann::ordered_json{p.x(), p.y(), p.z()};
      };
      document["foot_line_m"] = {
          {"heel", place(line.heel)}, {"toe", place(line.toe)}, {"u", line.u}};
    }
    std::cout << json_text(document, JsonForm::line) << '\n';
    return;
  }
  std::cout << fmt::format("mass       {:.2f} kg, u {:.2f} kg\n", found.mass.value, found.mass.u);
  if (!found.foot_line) return;
  const auto& line = *found.foot_line;
  std::cout << fmt::format("heel       x {:.3f} m, y {:.3f} m\ntoe        x {:.3f} m, y {:.3f} m\n",
                           line.heel.x(), line.heel.y(), line.toe.x(), line.toe.y())
            << fmt::format("foot line  {:.0f} mm long, u {:.0f} mm\n",
                           1000.0 * (line.toe - line.heel).norm(), 1000.0 * line.u);
}

Result<void> weigh_in(const WeighInOptions& options) {
  const auto station = drivers::read_station(options.station);
  if (!station) return tl::make_unexpected(station.error());
  const auto lengths = lengths_of(options);
  if (!lengths) return tl::make_unexpected(lengths.error());
  std::error_code status;
  if (std::filesystem::exists(options.out, status) && !options.force)
    return fail(options.out, "is there already", "name another file, or write over it by --force");
  auto recording = drivers::ShortRecording::begin(*station);
  if (!recording) return tl::make_unexpected(recording.error());
  const Parts parts = prompt((*recording)->capture(), *lengths, options.mass_only);
  const auto reader = (*recording)->end();
  if (!reader) return tl::make_unexpected(reader.error());
  auto found = evaluate(*reader, parts, options);
  if (!found) return tl::make_unexpected(found.error());
  found->athlete = options.athlete;
  found->station = station->name;
  found->made = iso_now();
  if (auto written = weigh_in::write_weigh_in(options.out, *found); !written) return written;
  print_weigh_in(*found, options.json);
  return {};
}

}  // namespace

void add_weigh_in(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<WeighInOptions>();
  WeighInOptions& o = *options;
  CLI::App* command = app.add_subcommand(
      "weigh-in", "Body mass and the back foot's line from standing on the plates");
  command->add_option("--station", o.station, "Station file (docs/station-file.md)")
      ->required()
      ->option_text("FILE");
  command->add_option("--out", o.out, "File to make, for record --weigh-in")
      ->required()
      ->option_text("FILE");
  command->add_option("--athlete", o.athlete, "Athlete's identity")->option_text("ID");
  command->add_option("--throws", o.throws, "Throwing hand")
      ->check(CLI::IsMember({"right", "left"}))
      ->option_text("right|left");
  command->add_flag("--mass-only", o.mass_only, "Only the quiet stand, no heel and toe");
  command->add_option("--empty", o.empty, "How long the plates stay empty")->capture_default_str();
  command->add_option("--stand", o.stand, "Time to step on and stand still")->capture_default_str();
  command->add_option("--stance", o.stance, "Time for each of heel and toe")->capture_default_str();
  command->add_flag("--force", o.force, "Write over a file of this name");
  command->add_flag("--json", o.json, "Print JSON");
  command->footer(
      "Each part is told on the screen as it begins; its quietest two seconds are used. Nothing "
      "is\n"
      "written when one of them is not quiet enough.");
  command->callback([options, &exit_code] {
    if (const auto done = weigh_in(*options); !done) {
      std::cerr << "moundwork weigh-in: " << error_words(done.error()) << '\n';
      exit_code = 1;
    }
  });
}

}  // namespace moundwork::cli
