// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/check/checks.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>
#include <random>

#include "core/session/reader.h"
#include "core/session/writer.h"
#include "drivers/station/station.h"
#include "support/drivers/virtual_plate.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::drivers;

namespace {

/// Components of both plates at one device time (plate axes, N and N m).
using Load = std::function<std::array<double, 6>(int device, double time)>;

struct Made {
  support::Folder folder;
  std::vector<session::RadarReading> readings;
  double skew[2] = {0.0, 0.0};
  std::int64_t lost = 0;
  std::function<double(double time)> sound;  ///< V; the station has a microphone if this is set

  /// 1 kHz, blocks of 20 rows that arrive at once; the plates of virtual_station_text.
  Result<session::Reader> record(double length, const Load& load) {
    auto station = parse_station(support::virtual_station_text(1000.0), folder / "s.toml");
    REQUIRE(station);
    session::Session session = station->session;
    session.athlete.id = "check";
    session.athlete.mass = {1.0, 0.0};
    if (sound) {
      session::Device microphone;
      microphone.name = "microphone";
      microphone.sample_rate = microphone.tick_rate = 8000.0;
      microphone.channels = {{"sound", "V", 1e-3}};
      session.devices.push_back(microphone);
      session.microphone = session::CatchMicrophone{2, 0, {16.9, 0.1}, {2.5, 0.03}};
    }
    auto writer = session::Writer::create(folder / "check.h5", session);
    REQUIRE(writer);
    for (int device : {0, 1}) {
      const auto& channels = session.devices[static_cast<std::size_t>(device)].channels;
      std::int64_t row = 0;
      for (std::int64_t n = 0; n < static_cast<std::int64_t>(length * 1000.0); n += 20) {
        std::vector<std::int32_t> cells;
        for (std::int64_t r = n; r < n + 20; ++r) {
          const auto values = load(device, 0.001 * static_cast<double>(r));
          for (std::size_t c = 0; c < 6; ++c)
            cells.push_back(static_cast<std::int32_t>(std::lround(values[c] / channels[c].scale)));
        }
        const double last = 0.001 * static_cast<double>(n + 19) * (1.0 + skew[device]);
        const bool after_loss = n == 2000 && device == 1;
        const session::Block block{row, DeviceTicks{n * 1000}, session_time(last),
                                   after_loss ? lost : 0};
        REQUIRE(writer->append(device, block, std::span<const std::int32_t>(cells)));
        row += 20;
      }
    }
    for (std::int64_t n = 0; sound && n < static_cast<std::int64_t>(length * 8000.0); n += 160) {
      std::vector<std::int32_t> cells;
      for (std::int64_t r = n; r < n + 160; ++r)
        cells.push_back(static_cast<std::int32_t>(
            std::lround(1000.0 * sound(static_cast<double>(r) / 8000.0))));
      REQUIRE(writer->append(
          2, {n, DeviceTicks{n}, session_time(static_cast<double>(n + 159) / 8000.0), 0},
          std::span<const std::int32_t>(cells)));
    }
    for (const auto& reading : readings) REQUIRE(writer->append(reading));
    REQUIRE(writer->close());
    return session::Reader::open(folder / "check.h5");
  }
};

const CheckLine& line_of(const CheckSheet& sheet, const std::string& part) {
  for (const CheckLine& line : sheet)
    if (line.item.find(part) != std::string::npos) return line;
  FAIL("no line about " << part);
  return sheet.front();
}

std::array<double, 6> nothing(int, double) { return {}; }

}  // namespace

TEST_CASE("a fork reads the speed of the Doppler formula", "[check]") {
  // Doppler, f = 2 v f0 / c: forks that must read so many mph (1 mph = 0.44704 m/s).
  CHECK(fork_speed(4676.67, 24.125e9) / 0.44704 == Approx(65.0).margin(1e-3));
  CHECK(fork_speed(1569.45, 10.525e9) / 0.44704 == Approx(50.0).margin(1e-3));
  CHECK(fork_speed(9313.82, 34.7e9) / 0.44704 == Approx(90.0).margin(1e-3));
  CHECK(fork_speed(2000.0, 24.150e9) / 0.44704 == Approx(27.769).margin(1e-3));
}

TEST_CASE("the radar passes by its median and fails on the wrong band's fork", "[check]") {
  Made made;
  for (const double mph : {64.9, 65.0, 65.1, 12.0})
    made.readings.push_back({session_time(1.0), mph * 0.44704, 0, ""});
  made.readings.push_back({session_time(1.0), std::nan(""), 0, "ready"});
  const auto reader = made.record(1.0, nothing);
  REQUIRE(reader);
  const auto sheet = check_fork(*reader, 4676.67, {});
  REQUIRE(sheet);
  CHECK(sheet->front().pass());
  const auto other = check_fork(*reader, 2040.29, {});  // 65 mph at 10.525 GHz
  REQUIRE(other);
  CHECK_FALSE(other->front().pass());
  Made silent;
  const auto none = silent.record(1.0, nothing);
  REQUIRE(none);
  CHECK_FALSE(check_fork(*none, 4676.67, {}));
}

TEST_CASE("rates and lost samples are told device by device", "[check]") {
  Made made;
  made.skew[0] = 50e-6;
  made.skew[1] = 800e-6;
  made.lost = 7;
  const auto reader = made.record(60.0, nothing);
  REQUIRE(reader);
  const auto sheet = check_rates(*reader, {});
  REQUIRE(sheet);
  CHECK(line_of(*sheet, "back, rate").found == Approx(1000.0 / (1.0 + 50e-6)).margin(1e-3));
  CHECK(line_of(*sheet, "back, rate").pass());
  CHECK_FALSE(line_of(*sheet, "lead, rate").pass());
  CHECK(line_of(*sheet, "back, lost").pass());
  CHECK(line_of(*sheet, "lead, lost").found == 7.0);
  CHECK_FALSE(line_of(*sheet, "lead, lost").pass());
}

TEST_CASE("an empty plate's zero and noise are measured, a noisy or loaded one fails", "[check]") {
  Made made;
  std::mt19937 random(4);
  std::normal_distribution<double> normal;
  const auto reader = made.record(10.0, [&](int device, double) -> std::array<double, 6> {
    if (device == 0) return {1.0 * normal(random), 0.0, 3.0 + 2.0 * normal(random), 0, 0, 0};
    return {0.0, 9.0 * normal(random), 500.0, 0, 0, 0};
  });
  REQUIRE(reader);
  const auto sheet = check_zero(*reader, {});
  REQUIRE(sheet);
  CHECK(line_of(*sheet, "back plate, force z").found == Approx(3.0).margin(0.1));
  CHECK(line_of(*sheet, "back plate, force z, noise").found == Approx(2.0).margin(0.1));
  CHECK(line_of(*sheet, "back plate, force z, noise").pass());
  CHECK_FALSE(line_of(*sheet, "lead plate, force y, noise").pass());
  CHECK_FALSE(line_of(*sheet, "lead plate, force z").pass());
}

TEST_CASE("a known weight is checked for force and place, with the zero taken off", "[check]") {
  // 20 kg x 9.80665 = 196.133 N; quadrant 1 of a 0.6 m square, 60 % out: (0.18, 0.18) m in plate
  // axes; Mx = py Fz, My = -px Fz (moments about an origin at the surface).
  Made made;
  const double weight = 196.133;
  const auto reader = made.record(8.0, [&](int device, double time) -> std::array<double, 6> {
    if (device == 1) return {};
    const double force = time > 4.0 ? weight : 0.0;
    return {2.0, 0.0, 15.0 + force, 1.0 + 0.18 * force, -0.18 * force, 0.0};
  });
  REQUIRE(reader);
  const auto right =
      check_weight(*reader, {session::PlateRole::back}, 20.0, WeightPoint::quadrant_1, {});
  REQUIRE(right);
  CHECK(line_of(*right, "vertical force").found == Approx(weight).margin(0.02));
  CHECK(line_of(*right, "vertical force").pass());
  CHECK(line_of(*right, "point off by").found == Approx(0.0).margin(1e-4));
  const auto elsewhere =
      check_weight(*reader, {session::PlateRole::back}, 20.0, WeightPoint::quadrant_3, {});
  REQUIRE(elsewhere);
  // From one quadrant's point to the opposite one's: 0.36 m in both directions.
  CHECK(line_of(*elsewhere, "point off by").found == Approx(0.36 * std::sqrt(2.0)).margin(1e-3));
  CHECK_FALSE(line_of(*elsewhere, "point off by").pass());
  const auto heavier =
      check_weight(*reader, {session::PlateRole::back}, 25.0, WeightPoint::quadrant_1, {});
  REQUIRE(heavier);
  CHECK_FALSE(line_of(*heavier, "vertical force").pass());
}

TEST_CASE("knocks show how far the devices' clocks are apart", "[check]") {
  for (const double late : {0.0, 0.008}) {
    Made made;
    const auto reader = made.record(12.0, [&](int device, double time) -> std::array<double, 6> {
      // Five knocks that ring for 20 ms; the lead plate takes them up `late` s later.
      const double since = std::fmod(time - (device == 1 ? late : 0.0) - 2.0, 2.0);
      const bool knock = time > 1.9 && since >= 0.0 && since < 0.02;
      return {0.0, 0.0, knock ? 80.0 * std::cos(600.0 * since) : 0.5 * std::sin(40.0 * time),
              0,   0,   0};
    });
    REQUIRE(reader);
    const auto sheet = check_taps(*reader, 0.0, {});
    REQUIRE(sheet);
    CHECK(sheet->front().found == Approx(late).margin(0.0011));
    CHECK(sheet->front().pass() == (late == 0.0));
  }
  Made still;
  const auto reader = still.record(4.0, nothing);
  REQUIRE(reader);
  CHECK_FALSE(check_taps(*reader, 0.0, {}));
}

TEST_CASE("one series of knocks on each plate and a microphone tell the plates apart", "[check]") {
  // Knocks on the back plate at 2, 4, 6 s, on the lead plate at 8, 10, 12 s, which takes them up
  // 8 ms late. The microphone is held beside them, or stands 19 m down the field: the plates'
  // middles of virtual_station_text are at x = 0.3 and 1.5 m, so the sound takes 55.36 and 51.87
  // ms.
  const double distance = GENERATE(0.0, 19.0);
  CAPTURE(distance);
  const auto ringing = [](double since) {
    return since >= 0.0 && since < 0.02 ? std::cos(600.0 * since) : 0.0;
  };
  const auto knocks = [&](double time, double first, double late) {
    double sum = 0.0;
    for (int k = 0; k < 3; ++k) sum += ringing(time - first - 2.0 * k - late);
    return sum;
  };
  Made made;
  made.sound = [&](double time) {
    return 0.002 * std::sin(800.0 * time) + knocks(time, 2.0, distance / 343.2) +
           knocks(time, 8.0, distance > 0.0 ? (distance - 1.2) / 343.2 : 0.0);
  };
  const auto reader = made.record(14.0, [&](int device, double time) -> std::array<double, 6> {
    const double knock = device == 0 ? knocks(time, 2.0, 0.0) : knocks(time, 8.0, 0.008);
    return {0.0, 0.0, 80.0 * knock + 0.5 * std::sin(40.0 * time), 0, 0, 0};
  });
  REQUIRE(reader);
  const auto sheet = check_taps(*reader, distance, {});
  if (!sheet) FAIL(sheet.error().sentence());
  REQUIRE(sheet->size() == 3);
  CHECK(line_of(*sheet, "lead plate after back plate by microphone").found ==
        Approx(0.008).margin(0.0011));
  CHECK_FALSE(sheet->front().pass());
  CHECK(line_of(*sheet, "microphone after back plate").pass());
  CHECK(line_of(*sheet, "microphone after lead plate").found == Approx(-0.008).margin(0.0011));

  // Without its distance a microphone far away is said to be late, not taken as it is.
  if (distance > 0.0) {
    const auto wrong = check_taps(*reader, 0.0, {});
    REQUIRE(wrong);
    CHECK_FALSE(line_of(*wrong, "microphone after back plate").pass());
  }
}

TEST_CASE("the sheet says in JSON and in words what failed", "[check]") {
  const CheckSheet sheet{{"zero", "back plate, force z", "N", 3.0, 0.0, 5.0},
                         {"zero", "lead plate, force z", "N", -7.0, 0.0, 5.0}};
  const auto json = nlohmann::json::parse(to_json(sheet, "2026-04-18T09:30:00.000000Z"));
  CHECK(json["pass"] == false);
  CHECK(json["lines"][0]["pass"] == true);
  CHECK(json["lines"][1]["found"] == -7.0);
  CHECK(to_text(sheet).find("FAIL  zero    lead plate, force z") != std::string::npos);
  CHECK_FALSE(CheckLine{"x", "y", "", std::nan(""), 0.0, 1.0}.pass());
}
