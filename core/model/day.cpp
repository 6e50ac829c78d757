// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/day.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <iterator>
#include <nlohmann/json.hpp>
#include <system_error>

#include "core/base/one_line.h"
#include "core/base/sharing.h"
#include "core/base/staged_files.h"
#include "core/base/time_zone.h"
#include "core/base/wall_time.h"
#include "core/base/write_file.h"
#include "core/model/instruments.h"
#include "core/model/kinds/list.h"
#include "core/model/truth_file.h"
#include "core/session/kinds/list.h"
#include "core/session/start.h"
#include "core/session/writer.h"

namespace moundwork::model {
namespace {

// Separate uses of one seed.
enum class Stream : std::uint64_t { athlete = 1, station = 2, performance = 3, instruments = 4 };

// Room for as many streams as there are uses, so that no two athletes share one.
constexpr std::uint64_t streams_per_athlete = 16;

std::uint64_t stream(int athlete, Stream use) {
  return static_cast<std::uint64_t>(athlete) * streams_per_athlete +
         static_cast<std::uint64_t>(use);
}

// One whole athlete's session in memory but for the samples.
struct Prepared {
  ModelAthlete athlete;
  Station station;
  Performance performance;
  std::uint64_t record_seed = 0;
};

Prepared prepare(const SessionSettings& settings) {
  Prepared all;
  Random athlete(settings.seed, stream(settings.athlete, Stream::athlete));
  all.athlete = draw_athlete(athlete, settings.athlete);
  Random station(settings.seed, stream(settings.athlete, Stream::station));
  all.station = draw_station(all.athlete, settings.station, station);
  for (const std::string& key : settings.station.with)
    all.station.stated.instruments.push_back(model_kind(key)->stated(all.station));
  all.station.stated.id = fmt::format("simulated-{}-{}", settings.seed, all.athlete.id);
  // On 4 May, by the clock of the place: no clock is set anew near that day.
  const std::chrono::sys_days day{std::chrono::year(2026) / 5 / 4};
  const WallTime local = day + std::chrono::hours(8 + (settings.athlete / 4) % 12) +
                         std::chrono::minutes(15 * (settings.athlete % 4));
  session::set_start(all.station.stated,
                     local - utc_offset(local, settings.zone).value_or(std::chrono::seconds(0)),
                     settings.zone);
  Random performance(settings.seed, stream(settings.athlete, Stream::performance));
  all.performance = perform_session(all.athlete, all.station, settings.performance, performance);
  all.record_seed =
      settings.seed * streams_per_athlete * 4096 + stream(settings.athlete, Stream::instruments);
  return all;
}

Result<void> check_rate(double rate) {
  if (!(rate >= 500.0 && rate <= 10000.0))
    return fail("plate rate", fmt::format("is {} Hz, and 500 to 10000 Hz can be simulated", rate));
  return {};
}

Result<void> check(const PlateRow& row, const char* foot) {
  if (row.plates < 1 || row.plates > most_plates)
    return fail(foot, fmt::format("is to have {} plates, and 1 to {} can be simulated", row.plates,
                                  most_plates));
  if (!row.rates.empty() && std::ssize(row.rates) != row.plates)
    return fail(foot,
                fmt::format("needs a rate for each of its plates ({}), and was given {}",
                            row.plates, row.rates.size()),
                "give as many, or none: then its plates share a device");
  for (const double rate : row.rates)
    if (auto sound = check_rate(rate); !sound) return sound;
  return {};
}

Result<void> check(const SessionSettings& settings) {
  const StationSettings& station = settings.station;
  if (auto sound = check_rate(station.rate); !sound) return sound;
  if (auto sound = check(station.back_plates, "back foot"); !sound) return sound;
  if (auto sound = check(station.lead_plates, "lead foot"); !sound) return sound;
  if (settings.performance.pitches < 0) return fail("pitches", "cannot be fewer than none");
  if (!(settings.performance.duration >= 0.0 && settings.performance.duration <= 86400.0))
    return fail("duration", "must be between nothing and one day");
  const auto& with = settings.station.with;
  for (const std::string& key : with)
    if (model_kind(key) == nullptr)
      return fail("instruments", fmt::format("of the kind '{}' cannot be simulated", key));
  for (const std::string& key : with)
    if (std::count(with.begin(), with.end(), key) > 1)
      return fail("instruments", fmt::format("of the kind '{}' are asked for twice", key),
                  "one of a kind can be simulated");
  if (settings.compression < 0 || settings.compression > 9)
    return fail("compression",
                fmt::format("is {}, and deflate levels are 0 to 9", settings.compression));
  if (!is_zone(settings.zone))
    return fail("time zone", fmt::format("'{}' is not known here", one_line(settings.zone)),
                "write it like America/Los_Angeles");
  return {};
}

struct Recorded {
  WrittenSession written;
  Prepared prepared;
};

/// Of the instruments that StationSettings::with adds, each with random numbers of its own.
Result<void> write_events(const Prepared& all, const StationSettings& settings,
                          session::Writer& writer) {
  const session::Session& stated = all.station.stated;
  const auto sources = session::event_sources(stated);
  for (std::size_t i = 0; i < stated.instruments.size(); ++i) {
    const session::EventInstrument& one = stated.instruments[i];
    const auto source = std::find_if(sources.begin(), sources.end(), [&](const auto& candidate) {
      return candidate.kind->key == one.kind && candidate.name == one.name;
    });
    const auto place = static_cast<std::size_t>(source - sources.begin());
    constexpr std::uint64_t first_stream = 16;  // beyond those of record()
    Random random(all.record_seed, first_stream + i);
    for (const session::InstrumentEvent& event :
         model_kind(one.kind)->events(one, all.performance, all.station, settings, random))
      if (auto written = writer.append_event(place, event); !written) return written;
  }
  return {};
}

Result<Recorded> write_session(const std::filesystem::path& path, const SessionSettings& settings,
                               const Progress& progress) {
  if (auto sound = check(settings); !sound) return tl::make_unexpected(sound.error());
  std::error_code status;
  if (path.has_parent_path() && !std::filesystem::is_directory(path.parent_path(), status))
    return fail(path.parent_path().string(), "there is no such folder", "make it, or name another");
  Recorded recorded{{}, prepare(settings)};
  const Prepared& all = recorded.prepared;
  std::filesystem::path truth = path;
  truth.replace_extension(".truth.json");
  // Both are on the disk before either has its name, and no other program makes either meanwhile:
  // one's truth beside the other's session would be a lie.
  StagedFiles files(true);
  const auto working = files.add(truth);
  if (!working) return tl::make_unexpected(working.error());
  auto writer = session::Writer::create(path, all.station.stated, {settings.compression, true});
  if (!writer) return tl::make_unexpected(writer.error());
  Sink sink;
  sink.samples = [&](int device, const session::Block& block, const session::RawSamples& samples) {
    return writer->append(device, block, samples);
  };
  sink.reading = [&](const session::RadarReading& reading) { return writer->append(reading); };
  sink.goes_on_at = [&](double t) { return goes_on(progress, t / all.performance.duration); };
  const auto lost = record(all.performance, all.station, settings.station, all.record_seed, sink);
  if (!lost) return tl::make_unexpected(lost.error());
  if (auto done = write_events(all, settings.station, *writer); !done)
    return tl::make_unexpected(done.error());
  const auto document =
      truth_document(all.athlete, all.performance, all.station, *lost, settings.seed);
  if (auto done = write_file(*working, document.dump(1) + "\n"); !done)
    return tl::make_unexpected(done.error());
  if (auto done = writer->close(); !done) return tl::make_unexpected(done.error());
  if (auto done = files.put_in_place(); !done) return tl::make_unexpected(done.error());
  recorded.written = {path, truth, all.athlete.name, all.performance.throws.size(),
                      all.performance.duration};
  return recorded;
}

// Sheets as people keep them: what is stated, not what is true.
struct Sheets {
  std::string roster = "id,name,throws,born,mass_kg,mass_u_kg,height_m,height_u_m,foot_length_m\n";
  std::string log = "session,throw,pitch,cue\n";
  std::string station =
      "session,plate,type,centre_x_m,centre_y_m,centre_z_m,gain_u,crosstalk_u,zero_u_N,"
      "centre_of_pressure_u_m,radar_x_m,radar_y_m,radar_z_m,temperature_C,pressure_Pa,"
      "relative_humidity\n";

  void add(const Recorded& recorded) {
    const auto& stated = recorded.prepared.station.stated;
    const std::string file = recorded.written.session.filename().string();
    roster += fmt::format(
        "{},{},{},{},{:.1f},{},{:.3f},{},{:.3f}\n", stated.athlete.id, stated.athlete.name,
        stated.athlete.throws == session::Hand::right ? "right" : "left", stated.athlete.born,
        stated.athlete.mass.value, stated.athlete.mass.u, stated.athlete.height.value,
        stated.athlete.height.u, recorded.prepared.athlete.foot_length);
    int number = 0;
    for (const Throw& one : recorded.prepared.performance.throws)
      log += fmt::format("{},{},fastball,{}\n", file, ++number, one.heel_cue ? "heel" : "");
    for (const session::Plate& plate : stated.plates) {
      const auto frame = plate::plate_frame(plate.description);
      const Eigen::Vector3d radar = stated.radar ? stated.radar->position : Eigen::Vector3d::Zero();
      station += fmt::format(
          "{},{},{},{:.3f},{:.3f},{:.3f},{},{},{},{},{:.2f},{:.2f},{:.2f},{:.1f},{:.0f},{:.2f}\n",
          file, plate.role == session::PlateRole::back ? "back" : "lead",
          static_cast<int>(plate.description.type), frame->centre.x(), frame->centre.y(),
          frame->centre.z(), plate.accuracy.gain, plate.accuracy.crosstalk,
          plate.accuracy.zero_force, plate.accuracy.cop, radar.x(), radar.y(), radar.z(),
          stated.conditions.temperature.value, stated.conditions.pressure.value,
          stated.conditions.relative_humidity.value);
    }
  }
};

// A day shows every way of timing a release and of printing a speed.
StationSettings station_of(const DaySettings& settings, int athlete) {
  StationSettings station = settings.station;
  station.microphone = settings.station.microphone && athlete % 3 != 0;
  station.trigger = settings.station.trigger || athlete % 3 == 0 || athlete % 6 == 1;
  constexpr RadarPrint prints[] = {RadarPrint::tenth_mph, RadarPrint::whole_kmh,
                                   RadarPrint::tenth_mph, RadarPrint::whole_mph};
  station.print = prints[(athlete - 1) % 4];
  return station;
}

}  // namespace

Result<WrittenSession> simulate_session(const std::filesystem::path& path,
                                        const SessionSettings& settings, const Progress& progress) {
  auto recorded = write_session(path, settings, progress);
  if (!recorded) return tl::make_unexpected(recorded.error());
  return recorded->written;
}

Result<WrittenDay> simulate_day(const DaySettings& settings, const std::filesystem::path& directory,
                                const Progress& progress) {
  if (settings.athletes < 1) return fail("athletes", "a day needs at least one");
  // Before any folder is made.
  const SessionSettings any{settings.seed,        1,
                            settings.station,     settings.performance,
                            settings.compression, settings.zone};
  if (auto sound = check(any); !sound) return tl::make_unexpected(sound.error());
  std::error_code error;
  (void)make_folders(directory, error);
  if (error) return fail(directory.string(), fmt::format("could not be made: {}", error.message()));
  WrittenDay day;
  Sheets sheets;
  for (int athlete = 1; athlete <= settings.athletes; ++athlete) {
    const SessionSettings one{
        settings.seed,        athlete,      station_of(settings, athlete), settings.performance,
        settings.compression, settings.zone};
    const double athletes = settings.athletes;
    const Progress within = piece_of(progress, (athlete - 1) / athletes, athlete / athletes);
    const auto path = directory / fmt::format("athlete-{:02}.h5", athlete);
    const auto recorded = write_session(path, one, within);
    if (!recorded) return tl::make_unexpected(recorded.error());
    sheets.add(*recorded);
    day.sessions.push_back(recorded->written);
  }
  const std::pair<const char*, const std::string&> all[] = {
      {"roster.csv", sheets.roster}, {"log.csv", sheets.log}, {"station.csv", sheets.station}};
  for (const auto& [file, text] : all) {
    if (auto done = replace_file(directory / file, text); !done)
      return tl::make_unexpected(done.error());
    day.sheets.push_back(directory / file);
  }
  return day;
}

}  // namespace moundwork::model
