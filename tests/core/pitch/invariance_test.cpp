// SPDX-License-Identifier: GPL-3.0-or-later
// The same throws seen otherwise: from behind a mirror, by plates that lie turned or elsewhere, at
// another hour, thrown by a heavier body. Newton's laws know none of these, so the numbers must
// not.
#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <set>

#include "core/base/units.h"
#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/plate/wrench.h"
#include "core/session/reader.h"
#include "core/session/writer.h"
#include "support/folder.h"

using namespace moundwork;

namespace {

using Wrench = Eigen::Matrix<double, 6, 1>;

// What another look makes of a session; each part as it is unless said otherwise.
struct Look {
  std::function<void(session::Session&)> describe = [](session::Session&) {};
  // Corners in plate order.
  std::function<std::array<Eigen::Vector3d, 4>(const std::array<Eigen::Vector3d, 4>&)> lie =
      [](const auto& corners) { return corners; };
  // Force and moment about the surface centre, lab.
  std::function<Wrench(const Wrench&)> act = [](const Wrench& wrench) { return wrench; };
  double later = 0.0;  // s
};

// A copy of a session whose plates are six-component plates of float64 channels in N and N m.
void write_as_seen(const session::Reader& from, const std::filesystem::path& path,
                   const Look& look) {
  const session::Session& before = from.session();
  session::Session after = before;
  look.describe(after);
  std::vector<plate::WrenchMap> maps;
  for (session::Plate& plate : after.plates) {
    maps.push_back(plate::WrenchMap::make(plate.description).value());
    plate.description.type = plate::PlateType::six_component;
    plate.description.origin.setZero();
    plate.description.sensitivity = Eigen::MatrixXd::Identity(6, 6);
    plate.description.reaction_sign = 1.0;
    plate.description.corners = look.lie(plate.description.corners);
    session::Device& device = after.devices.at(static_cast<std::size_t>(plate.device));
    device.channels.clear();
    for (const char* name : {"Fx", "Fy", "Fz", "Mx", "My", "Mz"})
      device.channels.push_back({name, name[0] == 'F' ? "N" : "N m"});
    plate.channels = {0, 1, 2, 3, 4, 5};
  }
  for (session::Device& device : after.devices) device.sample_type = session::SampleType::float64;
  auto writer = session::Writer::create(path, after);
  REQUIRE(writer);
  for (std::size_t d = 0; d < before.devices.size(); ++d) {
    const int device = static_cast<int>(d);
    const Eigen::Index count = from.sample_count(device);
    session::RawTable<double> samples = from.read_raw(device, 0, count).value();
    for (std::size_t p = 0; p < before.plates.size(); ++p) {
      const session::Plate& plate = before.plates[p];
      if (plate.device != device) continue;
      Eigen::MatrixXd scaled(count, static_cast<Eigen::Index>(plate.channels.size()));
      for (Eigen::Index c = 0; c < scaled.cols(); ++c) {
        const int column = plate.channels[static_cast<std::size_t>(c)];
        const session::Channel& channel =
            before.devices[d].channels[static_cast<std::size_t>(column)];
        scaled.col(c) = (samples.col(column).array() - channel.offset) * channel.scale;
      }
      const plate::WrenchSeries wrench = maps[p](scaled);
      const Eigen::Matrix3d to_plate =
          plate::plate_frame(after.plates[p].description)->rotation.transpose();
      samples.resize(count, 6);
      for (Eigen::Index i = 0; i < count; ++i) {
        const Wrench seen = look.act(wrench.row(i).matrix().transpose());
        samples.row(i).head<3>() = to_plate * seen.head<3>();
        samples.row(i).tail<3>() = to_plate * seen.tail<3>();
      }
      break;
    }
    const auto blocks = from.blocks(device).value();
    for (std::size_t b = 0; b < blocks.size(); ++b) {
      session::Block block = blocks[b];
      const Eigen::Index end = b + 1 < blocks.size() ? blocks[b + 1].first_sample : count;
      block.arrival = session_time(seconds(block.arrival) + look.later);
      const double* first = samples.row(block.first_sample).data();
      const auto cells = static_cast<std::size_t>((end - block.first_sample) * samples.cols());
      REQUIRE(writer->append(device, block, std::span<const double>(first, cells)));
    }
  }
  auto readings = from.radar_readings().value();
  for (session::RadarReading& reading : readings) {
    reading.arrival = session_time(seconds(reading.arrival) + look.later);
    REQUIRE(writer->append(reading));
  }
  REQUIRE(writer->close());
}

// Two throws with every fault of instruments but lost samples.
struct Seen {
  support::Folder folder;
  session::Reader reader;
  pitch::Analysis plain;

  Seen() : reader(made(folder / "as-taken.h5")), plain(from({})) {}

  [[nodiscard]] pitch::Analysis from(const Look& look) const {
    const auto path = folder / "seen.h5";
    write_as_seen(reader, path, look);
    return pitch::analyse(session::Reader::open(path).value(), {}).value();
  }

 private:
  static session::Reader made(const std::filesystem::path& path) {
    model::SessionSettings settings;
    settings.seed = 11;
    settings.performance.pitches = 2;
    settings.station.errors.loss = false;
    settings.compression = 0;
    REQUIRE(model::simulate_session(path, settings));
    return session::Reader::open(path).value();
  }
};

struct Expected {
  double later = 0.0;         // s
  double time_margin = 1e-7;  // s
  double relative = 1e-6;     // of each value; and as much of a unit of it
  std::function<double(const definitions::Entry&)> factor = [](const definitions::Entry&) {
    return 1.0;
  };
};

void check_same(const pitch::Analysis& seen, const pitch::Analysis& plain,
                const Expected& expected) {
  REQUIRE(plain.throws.size() == 2);
  REQUIRE(seen.throws.size() == plain.throws.size());
  for (std::size_t i = 0; i < plain.throws.size(); ++i) {
    const pitch::AnalysedThrow& a = plain.throws[i];
    const pitch::AnalysedThrow& b = seen.throws[i];
    for (std::size_t e = 0; e < definitions::event_count; ++e) {
      INFO(i << ' ' << definitions::entry(static_cast<definitions::Event>(e)).key);
      REQUIRE(std::isfinite(a.events[e]));
      CHECK(b.events[e] == Approx(a.events[e] + expected.later).margin(expected.time_margin));
    }
    for (std::size_t q = 0; q < definitions::quantity_count; ++q) {
      const definitions::Entry& entry = definitions::entry(static_cast<definitions::Quantity>(q));
      INFO(i << ' ' << entry.key);
      REQUIRE(std::isfinite(a.quantities[q]));
      const double value = expected.factor(entry) * a.quantities[q];
      CHECK(std::abs(b.quantities[q] - value) <= expected.relative * (1.0 + std::abs(value)));
    }
  }
}

}  // namespace

TEST_CASE("numbers do not depend on a plate's type, channels and sample type", "[invariance]") {
  const Seen seen;
  check_same(seen.plain, pitch::analyse(seen.reader, {}).value(), {});
}

TEST_CASE("a left-hander seen in a mirror is a right-hander with the same numbers",
          "[invariance]") {
  const Seen seen;
  Look mirror;
  const auto reflect = [](Eigen::Vector3d& point) { point.y() = -point.y(); };
  mirror.describe = [&](session::Session& session) {
    session.athlete.throws =
        session.athlete.throws == session::Hand::right ? session::Hand::left : session::Hand::right;
    reflect(session.foot_line->heel);
    reflect(session.foot_line->toe);
    reflect(session.radar->position);
  };
  // A plate's own axes stay right-handed: its y turns over, and with it the order of corners.
  mirror.lie = [&](std::array<Eigen::Vector3d, 4> corners) {
    for (Eigen::Vector3d& corner : corners) reflect(corner);
    return std::array{corners[3], corners[2], corners[1], corners[0]};
  };
  mirror.act = [](const Wrench& wrench) {
    Wrench out = wrench;
    out(1) = -wrench(1);
    out(3) = -wrench(3);
    out(5) = -wrench(5);
    return out;
  };
  check_same(seen.from(mirror), seen.plain, {});
}

TEST_CASE("numbers do not depend on how a plate's own axes lie", "[invariance]") {
  const Seen seen;
  for (const std::size_t quarter_turns : {1U, 2U, 3U}) {
    Look look;
    look.lie = [&](const std::array<Eigen::Vector3d, 4>& corners) {
      std::array<Eigen::Vector3d, 4> out;
      for (std::size_t i = 0; i < 4; ++i) out[i] = corners[(i + quarter_turns) % 4];
      return out;
    };
    check_same(seen.from(look), seen.plain, {});
  }
}

TEST_CASE("numbers do not depend on where on the mound the plates lie", "[invariance]") {
  const Seen seen;
  const Eigen::Vector3d by(0.31, -0.17, 0.05);
  Look look;
  look.describe = [&](session::Session& session) {
    session.foot_line->heel += by;
    session.foot_line->toe += by;
  };
  look.lie = [&](std::array<Eigen::Vector3d, 4> corners) {
    for (Eigen::Vector3d& corner : corners) corner += by;
    return corners;
  };
  check_same(seen.from(look), seen.plain, {});
}

TEST_CASE("numbers do not depend on the hour, events move with it", "[invariance]") {
  const Seen seen;
  Look look;
  look.later = 5000.0;
  Expected expected;
  expected.later = look.later;
  expected.time_margin = 2e-6;
  expected.relative = 1e-4;  // rates are slopes of few samples, whose times now have fewer digits
  check_same(seen.from(look), seen.plain, expected);
}

TEST_CASE("a body half as heavy again that moves the same has the same numbers per mass",
          "[invariance]") {
  const Seen seen;
  constexpr double heavier = 1.5;
  Look look;
  look.describe = [&](session::Session& session) {
    session.athlete.mass.value *= heavier;
    session.athlete.mass.u *= heavier;
  };
  look.act = [&](const Wrench& wrench) -> Wrench { return heavier * wrench; };
  Expected expected;
  // Where a foot counts as loaded is a force in N for some of them.
  expected.time_margin = 2e-3;
  expected.relative = 0.01;
  expected.factor = [&](const definitions::Entry& entry) {
    const std::set<std::string_view> of_mass{"N", "N s", "N/s", "N m s", "kg m/s"};
    return of_mass.contains(entry.unit) ? heavier : 1.0;
  };
  check_same(seen.from(look), seen.plain, expected);
}

TEST_CASE("numbers hardly depend on the plates' rate", "[invariance]") {
  support::Folder folder;
  std::vector<pitch::Analysis> at_rate;
  for (const double rate : {2400.0, 1200.0, 600.0}) {
    model::SessionSettings settings;
    settings.seed = 12;
    settings.performance.pitches = 2;
    settings.station.rate = rate;
    settings.station.errors = model::ErrorSources::none();
    settings.compression = 0;
    const auto path = folder / "session.h5";
    REQUIRE(model::simulate_session(path, settings));
    at_rate.push_back(pitch::analyse(session::Reader::open(path).value(), {}).value());
  }
  Expected expected;
  expected.time_margin = 2e-3;
  expected.relative = 0.01;
  check_same(at_rate[1], at_rate[0], expected);
  check_same(at_rate[2], at_rate[0], expected);
}
