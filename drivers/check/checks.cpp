// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/check/checks.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>

#include "core/base/units.h"
#include "core/plate/wrench.h"
#include "core/session/plate_name.h"
#include "core/session/plate_signal.h"
#include "core/session/sample_clock.h"
#include "core/session/shown_rates.h"
#include "core/stats/median.h"

namespace moundwork::drivers {
namespace {

using session::Session;

constexpr double speed_of_light = 299'792'458.0;  // m/s, exact (SI)
constexpr double rest_time = 2.0;                 // s at both ends of a weight's recording
constexpr double dead_time = 0.5;                 // s in which one knock still rings
constexpr double same_tap = 0.1;                  // s within which devices hear one knock
constexpr double sound_speed = 343.2;             // m/s at 20 degrees Celsius

// Not the recording's path: it is a temporary one, gone by the time that this is read.
constexpr const char* where = "check";

struct PlateSeries {
  plate::WrenchSeries wrench;  // not tared
  plate::PlateFrame frame;
  double rate = 0.0;
};

Result<PlateSeries> plate_series(const session::Reader& reader, const session::Plate& plate) {
  const auto raw = reader.read_raw(plate.device, 0, reader.sample_count(plate.device));
  if (!raw) return tl::make_unexpected(raw.error());
  const auto signal = session::PlateSignal::make(reader.session(), plate);
  if (!signal) return tl::make_unexpected(signal.error());
  return PlateSeries{signal->wrench(*raw), signal->frame(),
                     reader.session().devices[static_cast<std::size_t>(plate.device)].sample_rate};
}

struct Timed {
  std::string name;
  std::vector<double> taps;  // session times of the first sample beyond the noise, s
  double step = 0.0;         // s between samples
};

/// Onsets: first departure from the median by more than `least` and ten times the usual scatter.
Result<Timed> taps_of(const session::Reader& reader, int device, const std::string& name,
                      const Eigen::ArrayXd& signal, double least) {
  const auto& described = reader.session().devices[static_cast<std::size_t>(device)];
  const auto clock = session::clock_of(reader, device);
  if (!clock) return tl::make_unexpected(clock.error());
  Timed timed{name, {}, 1.0 / described.sample_rate};
  const Eigen::ArrayXd away = (signal - stats::median(signal)).abs();
  // The median absolute deviation, times 1.4826 for a normal one, is blind to the knocks.
  const double threshold = std::max(least, 10.0 * 1.4826 * stats::median(away));
  for (const session::Run& run : clock->runs()) {
    for (Eigen::Index i = run.first_row; i < run.first_row + run.rows; ++i) {
      if (away(i) <= threshold) continue;
      const double time = seconds(clock->at(run, i));
      if (timed.taps.empty() || time - timed.taps.back() > dead_time) timed.taps.push_back(time);
    }
  }
  return timed;
}

std::optional<double> nearest(const std::vector<double>& times, double time) {
  std::optional<double> best;
  for (const double one : times)
    if (std::abs(one - time) < same_tap && (!best || std::abs(one - time) < std::abs(*best - time)))
      best = one;
  return best;
}

/// By how much the second takes knocks up later than the first, over those that both do.
struct Lag {
  double mean = 0.0;  // s
  int knocks = 0;     // 0: none in common
};

Lag lag(const Timed& first, const Timed& second) {
  Lag found;
  for (const double tap : first.taps) {
    const auto other = nearest(second.taps, tap);
    if (!other) continue;
    found.mean += *other - tap;
    ++found.knocks;
  }
  if (found.knocks > 0) found.mean /= found.knocks;
  return found;
}

CheckLine tap_line(std::string item, double found, const Timed& a, const Timed& b,
                   const CheckLimits& limits) {
  return {"tap", std::move(item), "s", found, 0.0, limits.tap + 0.5 * std::max(a.step, b.step)};
}

/// A plate's knocks as it feels them and as the microphone hears them, the sound's way taken off.
struct PlateTaps {
  Timed felt, heard;
};

Result<std::vector<PlateTaps>> plate_taps(const session::Reader& reader) {
  std::vector<PlateTaps> all;
  const Session& session = reader.session();
  for (std::size_t i = 0; i < session.plates.size(); ++i) {
    const session::Plate& plate = session.plates[i];
    const std::string name = session::plate_name(session, i);
    const auto series = plate_series(reader, plate);
    if (!series) return tl::make_unexpected(series.error());
    if (series->wrench.rows() == 0) return fail(where, "nothing came from the " + name);
    // A knuckle's knock is beyond 20 N (common practice).
    auto taps = taps_of(reader, plate.device, name, series->wrench.col(2), 20.0);
    if (!taps) return tl::make_unexpected(taps.error());
    all.push_back({std::move(*taps), {}});
  }
  return all;
}

Result<void> add_microphone(const session::Reader& reader, double microphone_distance,
                            std::vector<PlateTaps>& plates) {
  const Session& session = reader.session();
  const int device = session.microphone->device;
  const auto raw = reader.read_raw(device, 0, reader.sample_count(device));
  if (!raw) return tl::make_unexpected(raw.error());
  if (raw->rows() == 0)
    return fail(where, "nothing came from the microphone",
                "check that it is on and its port in the station file");
  // Onsets stand out of the channel's own scatter, so its unit does not matter.
  const auto taps =
      taps_of(reader, device, "microphone", raw->col(session.microphone->channel), 0.0);
  if (!taps) return tl::make_unexpected(taps.error());
  for (std::size_t p = 0; p < plates.size(); ++p) {
    // The distance is the first plate's; the other is that much nearer to home plate.
    const auto middle = [&](std::size_t which) {
      return 0.25 * (session.plates[which].description.corners[0] +
                     session.plates[which].description.corners[1] +
                     session.plates[which].description.corners[2] +
                     session.plates[which].description.corners[3]);
    };
    const double nearer = microphone_distance > 0.0 ? middle(p).x() - middle(0).x() : 0.0;
    const double travel = (microphone_distance - nearer) / sound_speed;
    plates[p].heard = *taps;
    for (double& tap : plates[p].heard.taps) tap -= travel;
  }
  return {};
}

/// Two plates against each other: by knocks that both feel, or by the microphone that hears each.
std::optional<CheckLine> between_plates(const PlateTaps& first, const PlateTaps& second,
                                        const CheckLimits& limits) {
  const std::string names = second.felt.name + " after " + first.felt.name;
  if (const Lag both = lag(first.felt, second.felt); both.knocks > 0)
    return tap_line(fmt::format("{}, {} knocks", names, both.knocks), both.mean, first.felt,
                    second.felt, limits);
  const Lag one = lag(first.felt, first.heard);
  const Lag other = lag(second.felt, second.heard);
  if (one.knocks == 0 || other.knocks == 0) return std::nullopt;
  return tap_line(
      fmt::format("{} by microphone, {} and {} knocks", names, one.knocks, other.knocks),
      one.mean - other.mean, first.felt, second.felt, limits);
}

}  // namespace

bool CheckLine::pass() const { return std::abs(found - wanted) <= limit; }

Result<CheckSheet> check_rates(const session::Reader& reader, const CheckLimits& limits) {
  CheckSheet sheet;
  const Session& session = reader.session();
  for (std::size_t d = 0; d < session.devices.size(); ++d) {
    const session::Device& device = session.devices[d];
    const auto blocks = reader.blocks(static_cast<int>(d));
    if (!blocks) return tl::make_unexpected(blocks.error());
    if (blocks->size() < 2)
      return fail(where, "nothing came from '" + device.name + "'",
                  "check that it is on and its port in the station file");
    const auto map = fit_clock(device, *blocks, reader.sample_count(static_cast<int>(d)));
    if (!map) return tl::make_unexpected(map.error());
    // The fit is about the shown rate where the stated one is too far off to be a crystal's error.
    const auto shown =
        session::shown_rates(device, *blocks, reader.sample_count(static_cast<int>(d)));
    const double rate = shown.beyond_crystal || shown.ticks_disagree ? shown.sample_rate()
                        : shown.samples_disagree ? device.tick_rate / shown.ticks_per_sample
                                                 : device.sample_rate / (1.0 + map->skew());
    double missing = 0.0;
    for (const session::Block& block : *blocks)
      missing += static_cast<double>(block.missing_before);
    sheet.push_back({"rates", device.name + ", rate", "Hz", rate, device.sample_rate,
                     limits.rate * device.sample_rate});
    sheet.push_back({"rates", device.name + ", lost samples", "", missing, 0.0, 0.0});
  }
  return sheet;
}

Result<CheckSheet> check_zero(const session::Reader& reader, const CheckLimits& limits) {
  CheckSheet sheet;
  const Session& session = reader.session();
  for (std::size_t i = 0; i < session.plates.size(); ++i) {
    const std::string name = session::plate_name(session, i);
    const auto series = plate_series(reader, session.plates[i]);
    if (!series) return tl::make_unexpected(series.error());
    if (series->wrench.rows() < 10) return fail(where, "nothing came from the " + name);
    constexpr const char* axes[] = {"x", "y", "z"};
    for (int axis = 0; axis < 3; ++axis) {
      const Eigen::ArrayXd force = series->wrench.col(axis);
      const double mean = force.mean();
      const double noise =
          std::sqrt((force - mean).square().sum() / static_cast<double>(force.size() - 1));
      const std::string item = fmt::format("{}, force {}", name, axes[axis]);
      sheet.push_back({"zero", item, "N", mean, 0.0, limits.force_zero});
      sheet.push_back({"zero", item + ", noise", "N", noise, 0.0, limits.force_noise});
    }
  }
  return sheet;
}

Result<CheckSheet> check_weight(const session::Reader& reader, PlateChoice plate, double mass,
                                WeightPoint point, const CheckLimits& limits) {
  const Session& session = reader.session();
  std::size_t chosen = 0;
  for (int left = plate.number; chosen < session.plates.size(); ++chosen)
    if (session.plates[chosen].role == plate.role && --left == 0) break;
  if (chosen == session.plates.size())
    return fail(where, fmt::format("the station has no {} of number {}",
                                   session::plate_name(plate.role), plate.number));
  const std::string name = session::plate_name(session, chosen);
  const auto series = plate_series(reader, session.plates[chosen]);
  if (!series) return tl::make_unexpected(series.error());
  const auto rest = static_cast<Eigen::Index>(rest_time * series->rate);
  const Eigen::Index rows = series->wrench.rows();
  if (rows < 3 * rest)
    return fail(where, fmt::format("only {} samples came from the {}", rows, name),
                "record at least 6 s");
  plate::WrenchSeries load(1, 6);
  load.row(0) = series->wrench.bottomRows(rest).colwise().mean() -
                series->wrench.topRows(rest).colwise().mean();
  const double wanted = mass * standard_gravity;
  const plate::PlateFrame& frame = series->frame;
  constexpr double signs[5][2] = {{0, 0}, {1, 1}, {-1, 1}, {-1, -1}, {1, -1}};
  constexpr double share = 0.6;
  const auto& sign = signs[static_cast<int>(point)];
  const Eigen::Vector3d place =
      frame.centre + frame.rotation * Eigen::Vector3d(share * sign[0] * frame.half_size.x(),
                                                      share * sign[1] * frame.half_size.y(), 0.0);
  const Eigen::Vector3d cop =
      plate::centre_of_pressure(load, frame, 0.1 * wanted).row(0).transpose().matrix();
  const std::string item =
      name + (point == WeightPoint::centre ? std::string(", centre")
                                           : fmt::format(", quadrant {}", static_cast<int>(point)));
  return CheckSheet{
      {"weight", item + ", vertical force", "N", load(0, 2), wanted, limits.weight_force * wanted},
      {"weight", item + ", point off by", "m", (cop - place).norm(), 0.0, limits.weight_cop}};
}

double fork_speed(double frequency, double band) {
  return frequency * speed_of_light / (2.0 * band);
}

Result<CheckSheet> check_fork(const session::Reader& reader, double frequency,
                              const CheckLimits& limits) {
  if (!reader.session().radar) return fail(where, "the station has no radar");
  const auto readings = reader.radar_readings();
  if (!readings) return tl::make_unexpected(readings.error());
  std::vector<double> speeds;
  for (const auto& reading : *readings)
    if (std::isfinite(reading.speed) && reading.speed > 0.0) speeds.push_back(reading.speed);
  if (speeds.empty())
    return fail(where, "the radar gave no reading",
                "strike the fork and hold it close to the radar's face");
  const session::Radar& radar = *reader.session().radar;
  const double wanted = fork_speed(frequency, radar.band);
  return CheckSheet{{"fork", fmt::format("fork of {:.1f} Hz", frequency), "m/s",
                     stats::median(speeds), wanted,
                     limits.fork_speed * wanted + 0.5 * radar.resolution}};
}

Result<CheckSheet> check_taps(const session::Reader& reader, double microphone_distance,
                              const CheckLimits& limits) {
  const Session& session = reader.session();
  auto plates = plate_taps(reader);
  if (!plates) return tl::make_unexpected(plates.error());
  if (session.microphone)
    if (auto added = add_microphone(reader, microphone_distance, *plates); !added)
      return tl::make_unexpected(added.error());
  if (plates->empty() || (plates->size() < 2 && !session.microphone))
    return fail(where, "fewer than two devices take up a knock, so there is nothing to compare");
  CheckSheet sheet;
  for (std::size_t i = 1; i < plates->size(); ++i) {
    const auto line = between_plates((*plates)[0], (*plates)[i], limits);
    if (!line)
      return fail(where,
                  fmt::format("no knock was taken up by both the {} and the {}",
                              (*plates)[0].felt.name, (*plates)[i].felt.name),
                  session.microphone ? "knock five times between them, or five times on each with "
                                       "the microphone near"
                                     : "knock five times between them, a second apart");
    sheet.push_back(*line);
  }
  if (!session.microphone) return sheet;
  const std::size_t before = sheet.size();
  for (const PlateTaps& plate : *plates)
    if (const Lag heard = lag(plate.felt, plate.heard); heard.knocks > 0)
      sheet.push_back(
          tap_line(fmt::format("microphone after {}, {} knocks", plate.felt.name, heard.knocks),
                   heard.mean, plate.felt, plate.heard, limits));
  if (sheet.size() == before)
    return fail(where, "no knock was taken up by both a plate and the microphone",
                "hold the microphone beside the knock, or give its distance");
  return sheet;
}

std::string to_json(const CheckSheet& sheet, std::string_view made) {
  nlohmann::ordered_json document{{"made", made}, {"pass", true}};
  document["lines"] = nlohmann::ordered_json::array();
  for (const CheckLine& line : sheet) {
    document["lines"].push_back({{"check", line.check},
                                 {"item", line.item},
                                 {"unit", line.unit},
                                 {"found", line.found},
                                 {"wanted", line.wanted},
                                 {"limit", line.limit},
                                 {"pass", line.pass()}});
    if (!line.pass()) document["pass"] = false;
  }
  return document.dump();
}

std::string to_text(const CheckSheet& sheet) {
  std::size_t wide = 0;
  for (const CheckLine& line : sheet) wide = std::max(wide, line.item.size());
  std::string text;
  for (const CheckLine& line : sheet)
    text += fmt::format("{}  {:<6}  {:<{}}  {:.5g} {}, wanted {:.5g} within {:.3g}\n",
                        line.pass() ? "pass" : "FAIL", line.check, line.item, wide, line.found,
                        line.unit, line.wanted, line.limit);
  return text;
}

}  // namespace moundwork::drivers
