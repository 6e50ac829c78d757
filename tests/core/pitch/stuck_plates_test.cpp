// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/stuck_plates.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <functional>
#include <map>
#include <optional>

#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/memory_rows.h"
#include "core/session/reader.h"
#include "support/folder.h"

using namespace moundwork;
using definitions::Quantity;

namespace {

// The rows of a file, those of one device or of all changed; `change` has the device, the time of
// the first row and the rows.
session::MemoryRows with(
    const session::Reader& from, std::optional<int> changed,
    const std::function<void(int, double, session::RawTable<double>&)>& change) {
  session::MemoryRows rows(from.session(), "memory");
  for (std::size_t d = 0; d < from.session().devices.size(); ++d) {
    const int device = static_cast<int>(d);
    const double rate = from.session().devices[d].sample_rate;
    const auto blocks = from.blocks(device).value();
    for (std::size_t b = 0; b < blocks.size(); ++b) {
      const std::int64_t end =
          b + 1 < blocks.size() ? blocks[b + 1].first_sample : from.sample_count(device);
      auto raw =
          from.read_raw(device, blocks[b].first_sample, end - blocks[b].first_sample).value();
      if (!changed || device == *changed)
        change(device, static_cast<double>(blocks[b].first_sample) / rate, raw);
      rows.append(device, blocks[b], {raw.data(), static_cast<std::size_t>(raw.size())});
    }
  }
  return rows;
}

bool has(const pitch::AnalysedThrow& thrown, const std::string& key) {
  return std::any_of(thrown.flags.begin(), thrown.flags.end(),
                     [&](const auto& flag) { return flag.key == key; });
}

}  // namespace

TEST_CASE("a plate that died beside one that works is told, and its foot's numbers are left out",
          "[stuck][simulated]") {
  const support::Folder folder;
  model::SessionSettings settings;
  settings.seed = 21;
  settings.performance.pitches = 2;
  settings.station.lead_plates.plates = 2;
  settings.station.lead_plates.rates = {1000.0, 1000.0};
  settings.compression = 0;
  REQUIRE(model::simulate_session(folder / "s.h5", settings));
  const auto reader = session::Reader::open(folder / "s.h5");
  REQUIRE(reader);
  const auto whole = pitch::analyse(*reader, {});
  REQUIRE(whole);
  REQUIRE(whole->throws.size() == 2);
  const auto second_lead =
      std::find_if(reader->session().plates.rbegin(), reader->session().plates.rend(),
                   [](const auto& plate) { return plate.role == session::PlateRole::lead; });
  const int device = second_lead->device;
  for (const pitch::AnalysedThrow& thrown : whole->throws)
    CHECK_FALSE(has(thrown, "channel_stuck"));

  SECTION("dead all along") {
    const auto rows = with(*reader, device, [](int, double, auto& raw) { raw.setZero(); });
    const auto analysis = pitch::analyse(rows, {});
    REQUIRE(analysis);
    REQUIRE(analysis->throws.size() == 2);
    for (const pitch::AnalysedThrow& thrown : analysis->throws) {
      CHECK(has(thrown, "channel_stuck"));
      CHECK_FALSE(thrown.measured(Quantity::braking_impulse).known());
      CHECK(thrown.measured(Quantity::drive_peak_force_bw).known());
    }
  }
  SECTION("frozen from before the second throw on") {
    const double from = whole->throws[1].contact - 1.0;
    Eigen::RowVectorXd frozen;
    const auto rows = with(*reader, device, [&](int, double begin, auto& raw) {
      const auto first = static_cast<Eigen::Index>(std::max(0.0, 1000.0 * (from - begin)));
      for (Eigen::Index i = first; i < raw.rows(); ++i) {
        if (frozen.size() == 0) frozen = raw.row(i);
        raw.row(i) = frozen;
      }
    });
    const auto analysis = pitch::analyse(rows, {});
    REQUIRE(analysis);
    REQUIRE(analysis->throws.size() == 2);
    CHECK_FALSE(has(analysis->throws[0], "channel_stuck"));
    CHECK(has(analysis->throws[1], "channel_stuck"));
  }
  SECTION("plates that write small forces as nothing are not dead") {
    // Whatever differs from a plate's first reading by no more than its noise there.
    std::map<int, Eigen::RowVectorXd> first, noise;
    for (int d = 0; d < static_cast<int>(reader->session().devices.size()); ++d) {
      const auto start = reader->read_raw(d, 0, 200).value();
      first[d] = start.row(0);
      noise[d] = 6.0 * (start.rowwise() - first[d]).cwiseAbs().colwise().maxCoeff();
    }
    int still = 0;
    const auto rows = with(*reader, {}, [&](int d, double, auto& raw) {
      for (Eigen::Index i = 0; i < raw.rows(); ++i) {
        if (((raw.row(i) - first[d]).cwiseAbs().array() > noise[d].array()).any()) continue;
        raw.row(i) = first[d];
        ++still;
      }
    });
    CHECK(still > 2000);
    const auto analysis = pitch::analyse(rows, {});
    REQUIRE(analysis);
    for (const pitch::AnalysedThrow& thrown : analysis->throws)
      CHECK_FALSE(has(thrown, "channel_stuck"));
  }
}

namespace {

foot::PlateWindow still_plate(std::vector<foot::TimeSpan> still) {
  foot::PlateWindow plate;
  plate.step = 0.001;
  plate.wrench = plate::WrenchSeries::Zero(2001, 6);
  for (const foot::TimeSpan& span : still) plate.stuck.push_back({span, "Fz"});
  return plate;
}

pitch::PlatesOfThrow plates_of(foot::PlateWindow back, foot::PlateWindow lead) {
  pitch::PlatesOfThrow plates;
  plates.back = {foot::FootWindow::make({std::move(back)}).value(), {{0, "back", 0.0}}};
  plates.lead = {foot::FootWindow::make({std::move(lead)}).value(), {{1, "lead", 0.0}}};
  return plates;
}

}  // namespace

TEST_CASE("a channel is stuck where it stands still while its foot is used", "[stuck]") {
  const pitch::MeasuredSpans used{{0.5, 1.0}, {1.0, 1.2}, {0.0, 1.2}};
  const auto of_lead = [&](foot::PlateWindow back, foot::PlateWindow lead) {
    return pitch::stuck_plates(plates_of(std::move(back), std::move(lead)), used);
  };
  const auto dead = of_lead(still_plate({}), still_plate({{0.0, 2.0}}));
  REQUIRE(dead.size() == 1);
  CHECK(dead[0].role == session::PlateRole::lead);
  CHECK(pitch::stuck_flags(dead).front().detail.find("the lead plate") != std::string::npos);
  // Before the landing only, and after it was used.
  CHECK(of_lead(still_plate({}), still_plate({{0.0, 0.99}, {1.5, 2.0}})).empty());
  // Another plate that stood still and came to life writes small forces as nothing.
  CHECK(of_lead(still_plate({{0.0, 0.3}}), still_plate({{0.0, 2.0}})).empty());
  // One that was left at the end may be dead by then as well.
  CHECK(of_lead(still_plate({{1.3, 2.0}}), still_plate({{0.0, 2.0}})).size() == 1);
}
