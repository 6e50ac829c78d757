// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/record.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <atomic>
#include <csignal>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "app/cli/error_words.h"
#include "app/cli/given_quantities.h"
#include "app/cli/percent.h"
#include "app/cli/record_screen.h"
#include "app/cli/throw_table.h"
#include "core/base/sentence.h"
#include "core/base/shown_number.h"
#include "core/base/units.h"
#include "core/intake/facts.h"
#include "core/intake/usual_uncertainty.h"
#include "core/session/companion.h"
#include "core/session/reader.h"
#include "core/session/shown_rates.h"
#include "core/weigh_in/weigh_in_file.h"
#include "drivers/recorder/capture.h"
#include "drivers/recorder/live_throws.h"
#include "drivers/recorder/lost_file.h"
#include "drivers/recorder/recording_session.h"

namespace moundwork::cli {
namespace {

using drivers::Capture;
namespace usual_u = intake::usual_u;

struct RecordOptions {
  std::string station, out, id, name, throws = "right", mass, height, born, weigh_in;
  std::string foot_length, temperature, pressure, humidity, surface, duration, speed_unit = "m/s";
  bool go_on = false, json = false;
};

std::atomic<bool> interrupted{false};

void interrupt(int) { interrupted = true; }

/// Takes mass and stance from a weigh-in's file.
Result<void> take_weigh_in(const RecordOptions& options, intake::Facts& facts) {
  const auto weighed = weigh_in::read_weigh_in(options.weigh_in);
  if (!weighed) return tl::make_unexpected(weighed.error());
  if (!options.mass.empty())
    return fail("--mass", "is given beside a weigh-in, which has measured it",
                "leave one of them out");
  if (!weighed->athlete.empty() && !options.id.empty() && weighed->athlete != options.id)
    return fail(options.weigh_in,
                fmt::format("is the weigh-in of '{}', not of '{}'", weighed->athlete, options.id),
                "name this athlete's weigh-in");
  if (facts.athlete_id.empty()) facts.athlete_id = weighed->athlete;
  facts.mass = weighed->mass;
  facts.stance = weighed->foot_line;
  return {};
}

Result<intake::Facts> asked_facts(const RecordOptions& options) {
  GivenQuantities given;
  intake::Facts facts;
  facts.athlete_id = options.id;
  facts.athlete_name = options.name;
  facts.born = options.born;
  facts.throws = options.throws == "left" ? session::Hand::left : session::Hand::right;
  facts.mass = given.measured(options.mass, usual_u::mass, Dimension::mass, "--mass");
  facts.height = given.measured(options.height, usual_u::height, Dimension::length, "--height");
  facts.foot_length = given(options.foot_length, Dimension::length, "--foot-length");
  session::Conditions& air = facts.conditions;
  air.temperature = given.measured(options.temperature, usual_u::temperature,
                                   Dimension::temperature, "--temperature");
  air.pressure =
      given.measured(options.pressure, usual_u::pressure, Dimension::pressure, "--pressure");
  if (given.error()) return tl::make_unexpected(*given.error());
  if (!options.humidity.empty()) {
    const auto humidity = percent(options.humidity, "--humidity");
    if (!humidity) return tl::make_unexpected(humidity.error());
    air.relative_humidity = {*humidity, usual_u::relative_humidity};
  }
  air.surface = options.surface;
  if (!options.weigh_in.empty())
    if (auto taken = take_weigh_in(options, facts); !taken)
      return tl::make_unexpected(taken.error());
  if (!facts.mass.known())
    return fail("--mass", "is needed, since forces are given in body weights",
                "give the athlete's mass as dressed, such as 85kg, or a weigh-in by --weigh-in");
  return facts;
}

// Whether the devices' clocks go with this computer's, from what is on the disk now. A file that
// cannot be read is told of elsewhere.
void say_clocks(const Capture& capture, RecordScreen& screen) {
  const auto reader = session::Reader::open(capture.recorder().path);
  if (!reader) return;
  const auto& devices = reader->session().devices;
  for (std::size_t d = 0; d < devices.size(); ++d) {
    const auto blocks = reader->blocks(static_cast<int>(d));
    if (!blocks) continue;
    const auto shown =
        session::shown_rates(devices[d], *blocks, reader->sample_count(static_cast<int>(d)));
    const auto doubt = session::clock_doubt(shown);
    if (!doubt) continue;
    screen.event("clock_disagrees",
                 {{"device", devices[d].name},
                  {"tick_rate_Hz", shown.tick_rate},
                  {"sample_rate_Hz", devices[d].tick_rate / shown.ticks_per_sample},
                  {"message", doubt->detail}},
                 "Warning: " + doubt->detail);
  }
}

void say_losses(const drivers::RecorderState& state, std::size_t& said, RecordScreen& screen) {
  for (; said < state.losses.size(); ++said) {
    const drivers::LostFile& lost = state.losses[said];
    screen.event("file_lost",
                 {{"loss", drivers::key_of(lost.loss)},
                  {"file", lost.file.string()},
                  {"goes_on_in", lost.goes_on_in.string()},
                  {"message", lost.words}},
                 lost.words);
  }
}

std::string safety_words(const drivers::RecorderState& state) {
  const auto crash = "crash"_is(plain_text(1000.0 * state.longest_unsafe, 0));
  const auto power = "power"_is(plain_text(1000.0 * state.longest_unforced, 0));
  const auto flush = "flush"_is(plain_text(1000.0 * state.longest_flush, 0));
  const auto queue = "queue"_is(plain_text(100.0 * state.fullest_queue, 0));
  if (!state.losses.empty())
    return sentence(
        "samples in {file} were safe from a crash within {crash} ms and from a power cut within "
        "{power} ms, longest flush {flush} ms, fullest queue {queue} %",
        "file"_is(state.path.string()), crash, power, flush, queue);
  return sentence(
      "samples were safe from a crash within {crash} ms and from a power cut within {power} ms, "
      "longest flush {flush} ms, fullest queue {queue} %",
      crash, power, flush, queue);
}

Result<void> watch(Capture& capture, const RecordOptions& options, double duration) {
  RecordScreen screen(options.json);
  const std::string athlete = capture.session().athlete.name.empty()
                                  ? capture.session().athlete.id
                                  : capture.session().athlete.name;
  drivers::LiveThrows live(
      capture, {},
      [&](const drivers::LiveThrow& found) {
        screen.throw_found(
            found, throw_table({{found.thrown}, {}}, fmt::format("throw {}", found.thrown.number),
                               athlete, options.speed_unit));
      },
      [&](const Error& error) {
        screen.event("warning", {{"message", error_words(error)}}, error_words(error));
      });
  live.start();
  if (const auto& aside = capture.set_aside()) {
    const std::string words = session::set_aside_words(*aside);
    screen.event("warning", {{"message", words}}, words);
  }
  std::vector<DeviceWatch> watches;
  for (const auto& device : capture.devices())
    watches.emplace_back(device->name(), device->health());
  for (const drivers::RecordedEvents& events : capture.events())
    watches.emplace_back(events.device->name(), events.device->health(), events.device->kind());
  const auto begun = std::chrono::steady_clock::now();
  std::string warned;
  std::size_t losses = 0;
  while (!interrupted && !capture.finished() &&
         capture.recorder().end == drivers::RecorderEnd::running) {
    for (std::size_t i = 0; i < watches.size(); ++i)
      watches[i].look(screen, [&] {
        const std::size_t sampled = capture.devices().size();
        return i < sampled ? capture.devices()[i]->last_failure()
                           : capture.events()[i - sampled].device->last_failure();
      });
    const drivers::RecorderState now = capture.recorder();
    say_losses(now, losses, screen);
    if (now.message != warned) {
      warned = now.message;
      if (!warned.empty()) screen.event("warning", {{"message", warned}}, warned);
    }
    screen.status(status_line(capture));
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
    const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - begun;
    if (duration > 0.0 && elapsed.count() >= duration) break;
  }
  auto ended = capture.end();
  live.stop();
  screen.end_status();
  for (std::size_t i = 0; i < watches.size(); ++i)
    screen.event("counts", watches[i].counts(), watches[i].sentence());
  say_clocks(capture, screen);
  const auto state = capture.recorder();
  say_losses(state, losses, screen);
  screen.event("end",
               {{"file", state.path.string()},
                {"longest_flush_s", state.longest_flush},
                {"longest_unsafe_s", state.longest_unsafe},
                {"longest_unforced_s", state.longest_unforced},
                {"fullest_queue", state.fullest_queue}},
               safety_words(state));
  if (!ended) return ended;
  if (!state.losses.empty()) return fail("", drivers::words_at_end(state.losses.back()));
  std::int64_t rows = 0;
  for (const auto& device : capture.devices()) rows += device->health().rows;
  if (rows > 0 || capture.devices().empty()) return {};
  const auto& in_file = state.rows;
  const bool held =
      std::any_of(in_file.begin(), in_file.end(), [](auto count) { return count > 0; });
  return fail(options.out,
              held ? "has no new sample, since none came; what it held before is kept"
                   : "holds no sample, since none came",
              "check that the devices are on and their ports in the station file");
}

Result<void> record(const RecordOptions& options) {
  const auto station = drivers::read_station(options.station);
  if (!station) return tl::make_unexpected(station.error());
  double duration = 0.0;
  if (!options.duration.empty()) {
    const auto given = parse_quantity(options.duration, Dimension::time, "--duration");
    if (!given) return tl::make_unexpected(given.error());
    duration = *given;
  }
  Result<std::unique_ptr<Capture>> capture = fail("", "");
  if (options.go_on) {
    capture = Capture::resume(*station, options.out);
  } else {
    const auto facts = asked_facts(options);
    if (!facts) return tl::make_unexpected(facts.error());
    auto session = drivers::recording_session(*station, *facts, options.out);
    if (!session) return tl::make_unexpected(session.error());
    capture = Capture::begin(*station, std::move(*session), options.out);
  }
  if (!capture) return tl::make_unexpected(capture.error());
  return watch(**capture, options, duration);
}

}  // namespace

void add_record(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<RecordOptions>();
  RecordOptions& o = *options;
  CLI::App* command = app.add_subcommand(
      "record", "Record a session from a station's instruments, throws shown as they come");
  command->add_option("--station", o.station, "Station file (docs/station-file.md)")
      ->required()
      ->option_text("FILE");
  command->add_option("--out", o.out, "Session file to make")->required()->option_text("FILE");
  command->add_flag("--continue", o.go_on, "Go on with a session that was cut off");
  command->add_option("--athlete", o.id, "Athlete's identity")->option_text("ID");
  command->add_option("--name", o.name, "Athlete's name")->option_text("NAME");
  command->add_option("--throws", o.throws, "Throwing hand")
      ->check(CLI::IsMember({"right", "left"}))
      ->option_text("right|left");
  command->add_option("--mass", o.mass, "Athlete's mass as dressed, such as 85.2kg")
      ->option_text("MASS");
  command
      ->add_option("--weigh-in", o.weigh_in,
                   "Mass and foot line from this file, made by moundwork weigh-in")
      ->option_text("FILE");
  command->add_option("--height", o.height, "Athlete's height, such as 1.86m")
      ->option_text("LENGTH");
  command
      ->add_option(
          "--foot-length", o.foot_length,
          "Of the back foot's shoe, such as 29cm, for a foot line where no weigh-in has one")
      ->option_text("LENGTH");
  command->add_option("--born", o.born, "Athlete's date of birth, YYYY-MM-DD")->option_text("DATE");
  command->add_option("--temperature", o.temperature, "Of the air, such as 22C")
      ->option_text("TEMPERATURE");
  command->add_option("--pressure", o.pressure, "Of the air here, such as 1010hPa")
      ->option_text("PRESSURE");
  command->add_option("--humidity", o.humidity, "Of the air, relative, such as 45%")
      ->option_text("HUMIDITY");
  command
      ->add_option("--surface", o.surface,
                   "What is pitched from today, such as 'mound, wet', in place of the station "
                   "file's")
      ->option_text("TEXT");
  command->add_option("--duration", o.duration, "End by itself after this time, such as 90min")
      ->option_text("TIME");
  command->add_option("--speed-unit", o.speed_unit, "Unit of ball speed on the screen")
      ->check(CLI::IsMember({"m/s", "km/h", "mph"}))
      ->option_text("UNIT");
  command->add_flag("--json", o.json, "One JSON object a line for every event");
  command->footer(
      "Ctrl-C ends the recording and closes the file. A device that is unplugged comes back by\n"
      "itself; the gap is in the file and counted.");
  command->callback([options, &exit_code] {
    interrupted = false;
    const auto old_interrupt = std::signal(SIGINT, interrupt);
    const auto old_terminate = std::signal(SIGTERM, interrupt);
    // A terminal that is closed ends a recording as Ctrl-C does, unless the caller (nohup) has it
    // go on. Whoever reads the events is no part of it: the samples come on when the reader is
    // gone.
    const auto old_hangup = std::signal(SIGHUP, interrupt);
    if (old_hangup == SIG_IGN) (void)std::signal(SIGHUP, SIG_IGN);
    const auto old_pipe = std::signal(SIGPIPE, SIG_IGN);
    const auto recorded = record(*options);
    (void)std::signal(SIGINT, old_interrupt);
    (void)std::signal(SIGTERM, old_terminate);
    (void)std::signal(SIGHUP, old_hangup);
    (void)std::signal(SIGPIPE, old_pipe);
    if (!recorded) {
      std::cerr << "moundwork record: " << error_words(recorded.error()) << '\n';
      exit_code = 1;
    }
  });
}

}  // namespace moundwork::cli
