// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/plate_signal.h"

#include <catch2/catch.hpp>

#include "support/session_example.h"

using namespace moundwork;

TEST_CASE("a raw row becomes a force by (raw - offset) * scale and the plate's map, either way",
          "[session]") {
  session::Session session = support::example_session();
  const session::Plate& plate = session.plates.front();
  session::Device& device = session.devices[static_cast<std::size_t>(plate.device)];
  for (std::size_t c = 0; c < device.channels.size(); ++c) {
    device.channels[c].offset = 10.0 * static_cast<double>(c);
    device.channels[c].scale = 0.5;
  }
  const auto signal = session::PlateSignal::make(session, plate);
  REQUIRE(signal);
  const auto channels = static_cast<Eigen::Index>(device.channels.size());
  session::RawTable<double> raw(2, channels);
  for (Eigen::Index c = 0; c < channels; ++c) {
    raw(0, c) = 10.0 * static_cast<double>(c);          // each at its offset
    raw(1, c) = 10.0 * static_cast<double>(c) + 100.0;  // 50 scaled units above
  }
  const Eigen::MatrixXd scaled = signal->scaled(raw);
  REQUIRE(scaled.cols() == static_cast<Eigen::Index>(plate.channels.size()));
  CHECK((scaled.row(0).array() == 0.0).all());
  CHECK((scaled.row(1).array() == 50.0).all());

  // Two roads, one force.
  const plate::WrenchSeries wrench = signal->wrench(raw);
  const session::RawForce force = signal->raw_force();
  for (Eigen::Index row : {0, 1})
    for (Eigen::Index axis = 0; axis < 3; ++axis)
      CHECK(force.weights.row(axis).dot(raw.row(row)) + force.constant(axis) ==
            Approx(wrench(row, axis)).margin(1e-9));
}
