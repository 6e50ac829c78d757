// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/load_envelope.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "core/session/reader.h"
#include "core/session/writer.h"
#include "support/folder.h"
#include "support/session_example.h"

using namespace moundwork;
using namespace moundwork::session;

namespace {

/// An envelope with known values: bin i holds -i to +i.
LoadEnvelope ramp(Eigen::Index bins) {
  LoadEnvelope envelope;
  envelope.time = Eigen::ArrayXd::LinSpaced(bins, 0.0, static_cast<double>(bins - 1));
  envelope.greatest = envelope.time.cast<float>();
  envelope.least = -envelope.greatest;
  envelope.end = static_cast<double>(bins);
  return envelope;
}

}  // namespace

TEST_CASE("a drawn envelope keeps every peak at any number of columns") {
  LoadEnvelope envelope = ramp(1000);
  envelope.greatest(637) = 1e6F;
  envelope.least(12) = -1e6F;
  for (const int columns : {1, 7, 100, 333, 1000, 5000}) {
    const EnvelopeView view = view_of(envelope, -1.0, 2000.0, columns);
    CHECK(view.time.size() <= static_cast<std::size_t>(columns) + 1);
    CHECK(*std::max_element(view.greatest.begin(), view.greatest.end()) == 1e6);
    CHECK(*std::min_element(view.least.begin(), view.least.end()) == -1e6);
  }
}

TEST_CASE("moving the view does not change what a piece of it shows") {
  std::mt19937 random(11);
  std::normal_distribution<float> force(0.0F, 50.0F);
  LoadEnvelope envelope = ramp(4096);
  for (Eigen::Index i = 0; i < envelope.size(); ++i) envelope.greatest(i) = force(random);
  const EnvelopeView whole = view_of(envelope, 1000.0, 1999.0, 130);
  const EnvelopeView moved = view_of(envelope, 1013.0, 2012.0, 130);
  std::size_t shared = 0;
  for (std::size_t i = 0; i < whole.time.size(); ++i)
    for (std::size_t j = 0; j < moved.time.size(); ++j)
      if (whole.time[i] == moved.time[j] && j + 1 < moved.time.size() &&
          i + 1 < whole.time.size()) {
        ++shared;
        CHECK(whole.greatest[i] == moved.greatest[j]);
      }
  CHECK(shared > 100);
}

TEST_CASE("a gap breaks the line") {
  LoadEnvelope envelope = ramp(100);
  envelope.run_starts = {40};
  const EnvelopeView view = view_of(envelope, 0.0, 100.0, 1000);
  REQUIRE(view.time.size() == 101);
  CHECK(std::isnan(view.greatest[40]));
  CHECK(view.time[41] == 40.0);
}

TEST_CASE("the envelope of a file holds each bin's least and greatest vertical force") {
  const support::Folder folder;
  session::Session session = support::example_session();
  const auto path = folder / "session.h5";
  const session::Plate& plate = session.plates.front();
  const auto& device = session.devices[static_cast<std::size_t>(plate.device)];
  const auto columns = device.channels.size();
  REQUIRE(device.sample_type == session::SampleType::int32);
  constexpr std::size_t rows = 1000;
  std::vector<std::int32_t> samples(rows * columns, 0);
  // A single sample stands out; nothing else carries load.
  const auto vertical = static_cast<std::size_t>(plate.channels[2]);
  samples[500 * columns + vertical] = -20000;
  {
    auto writer = session::Writer::create(path, session);
    REQUIRE(writer);
    REQUIRE(writer->append(plate.device, {0, DeviceTicks{0}, session_time(0.0), 0},
                           std::span<const std::int32_t>(samples)));
    REQUIRE(writer->close());
  }
  const auto reader = session::Reader::open(path);
  REQUIRE(reader);
  const auto blocks = reader->blocks(plate.device);
  REQUIRE(blocks);
  const auto clock = session::SampleClock::make(
      reader->session().devices[static_cast<std::size_t>(plate.device)], *blocks, rows);
  REQUIRE(clock);
  const auto envelope = trace_envelope(*reader, reader->session().plates.front(), *clock);
  REQUIRE(envelope);
  REQUIRE(envelope->size() == (rows + 63) / 64);
  for (Eigen::Index bin = 0; bin < envelope->size(); ++bin) {
    const bool holds_it = bin == 500 / 64;
    const bool flat = std::abs(envelope->greatest(bin) - envelope->least(bin)) < 1e-3F;
    CHECK(flat != holds_it);
  }
  int told = 0;
  const auto stopped = trace_envelope(*reader, reader->session().plates.front(), *clock,
                                      [&](double) { return ++told < 1; });
  REQUIRE_FALSE(stopped);
  CHECK(stopped.error().sentence().find("stopped") != std::string::npos);
}
