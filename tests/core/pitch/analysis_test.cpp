// SPDX-License-Identifier: GPL-3.0-or-later
// What an analysis by several threads must keep: the same numbers each time, progress in order, and
// a stop when asked.
#include "core/pitch/analysis.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstring>
#include <future>

#include "core/model/day.h"
#include "core/session/memory_rows.h"
#include "core/session/reader.h"
#include "support/folder.h"
#include "support/memory_copy.h"

using namespace moundwork;

namespace {

session::Reader simulated(const std::filesystem::path& path, int pitches, double rate) {
  model::SessionSettings settings;
  settings.seed = 5;
  settings.performance.pitches = pitches;
  settings.performance.activities = false;
  settings.station.rate = rate;
  settings.compression = 0;
  REQUIRE(model::simulate_session(path, settings));
  return session::Reader::open(path).value();
}

// Bit by bit, missing numbers too.
bool same(const pitch::AnalysedThrow& a, const pitch::AnalysedThrow& b) {
  const auto bits = [](const auto& x, const auto& y) {
    return std::memcmp(&x, &y, sizeof(x)) == 0;
  };
  return bits(a.events, b.events) && bits(a.quantities, b.quantities) &&
         bits(a.uncertainty.events, b.uncertainty.events) &&
         bits(a.uncertainty.quantities, b.uncertainty.quantities);
}

}  // namespace

TEST_CASE("rows in memory are measured to the same bits as the file that they came from") {
  support::Folder folder;
  const session::Reader reader = simulated(folder / "a.h5", 2, 1000.0);
  const session::MemoryRows rows = support::in_memory(reader, reader.session());
  const auto from_file = pitch::analyse(reader, {}).value();
  const auto from_memory = pitch::analyse(rows, {}).value();
  REQUIRE(from_file.throws.size() == 2);
  REQUIRE(from_memory.throws.size() == 2);
  for (std::size_t i = 0; i < 2; ++i) {
    CHECK(same(from_memory.throws[i], from_file.throws[i]));
    CHECK(from_memory.throws[i].flags.size() == from_file.throws[i].flags.size());
  }
}

TEST_CASE("an analysis gives the same bits each time, whatever was analysed before") {
  support::Folder folder;
  const session::Reader reader = simulated(folder / "a.h5", 5, 1000.0);
  const session::Reader other = simulated(folder / "b.h5", 1, 1000.4);
  const auto first = pitch::analyse(reader, {}).value();
  REQUIRE(first.throws.size() == 5);
  for (int run = 0; run < 3; ++run) {
    REQUIRE(pitch::analyse(other, {}));
    const auto again = pitch::analyse(reader, {}).value();
    REQUIRE(again.throws.size() == first.throws.size());
    for (std::size_t i = 0; i < first.throws.size(); ++i) {
      CHECK(again.throws[i].number == static_cast<int>(i) + 1);
      CHECK(same(again.throws[i], first.throws[i]));
    }
  }
}

TEST_CASE("a low-pass above what the plates' rate allows is refused in a sentence") {
  support::Folder folder;
  const session::Reader reader = simulated(folder / "a.h5", 2, 1000.0);
  for (const double cutoff : {420.0, 600.0}) {
    definitions::Settings settings;
    settings.low_pass = cutoff;
    const auto refused = pitch::analyse(reader, settings);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().sentence().find("cut-off") != std::string::npos);
  }
}

TEST_CASE("an analysis says how far it is and stops when told to") {
  support::Folder folder;
  const session::Reader reader = simulated(folder / "a.h5", 3, 1000.0);
  std::vector<double> shares;
  REQUIRE(pitch::analyse(reader, {}, [&](double share) {
    shares.push_back(share);
    return true;
  }));
  CHECK(std::is_sorted(shares.begin(), shares.end()));
  CHECK(shares.back() == Approx(1.0));
  // At the first piece of a plate, between the plates and the throws, and at each throw's end.
  for (const double until : {0.0, 0.8 - 1e-9, 0.85, 0.9, 1.0 - 1e-9}) {
    bool stop = false;
    int after = 0;
    const auto stopped = pitch::analyse(reader, {}, [&](double share) {
      after += stop ? 1 : 0;
      stop = share >= until;
      return !stop;
    });
    REQUIRE_FALSE(stopped);
    CHECK(stopped.error().sentence().find("stopped") != std::string::npos);
    CHECK(after == 0);  // nobody is asked again
  }
}

TEST_CASE("two threads read the rows that one reads") {
  support::Folder folder;
  const session::Reader reader = simulated(folder / "a.h5", 1, 1000.0);
  constexpr Eigen::Index rows = 500;
  const auto all = reader.read_raw(0, 0, 20 * rows).value();
  const auto reads_the_same = [&](Eigen::Index begin) {
    bool same = true;
    for (Eigen::Index piece = begin; piece < 20; piece += 2)
      same = same &&
             reader.read_raw(0, piece * rows, rows).value() == all.middleRows(piece * rows, rows);
    return same;
  };
  auto other = std::async(std::launch::async, [&] { return reads_the_same(1); });
  CHECK(reads_the_same(0));
  CHECK(other.get());
}
