// SPDX-License-Identifier: GPL-3.0-or-later
// A mass or a plate's scale that is wrong must be said: every number in body weights hangs on it.
#include <algorithm>
#include <catch2/catch.hpp>
#include <string>

#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/memory_rows.h"
#include "core/session/reader.h"
#include "support/folder.h"
#include "support/memory_copy.h"
#include "support/number.h"

using namespace moundwork;

namespace {

bool has_flag(const std::vector<session::ResultFlag>& flags, const std::string& key) {
  return std::any_of(flags.begin(), flags.end(),
                     [&](const session::ResultFlag& flag) { return flag.key == key; });
}

struct Recorded {
  support::Folder folder;
  session::Reader reader;

  static session::Reader simulated(const std::filesystem::path& path) {
    model::SessionSettings settings;
    settings.seed = 5;
    settings.performance.pitches = 3;
    settings.compression = 0;
    REQUIRE(model::simulate_session(path, settings));
    return session::Reader::open(path).value();
  }
  Recorded() : reader(simulated(folder / "a.h5")) {}

  [[nodiscard]] pitch::Analysis with_mass(double share) const {
    session::Session session = reader.session();
    session.athlete.mass.value *= share;
    return pitch::analyse(support::in_memory(reader, session), {}).value();
  }
};

}  // namespace

TEST_CASE("a mass that fits gives no doubt", "[mass]") {
  const auto analysis = Recorded().with_mass(1.0);
  REQUIRE(analysis.throws.size() == 3);
  CHECK(analysis.remarks.empty());
  for (const auto& thrown : analysis.throws)
    CHECK_FALSE(has_flag(thrown.flags, "heavier_than_stated"));
}

TEST_CASE("60 kg stated for 83 is said of every throw", "[mass]") {
  const Recorded recorded;
  const auto analysis = recorded.with_mass(60.0 / 83.0);
  REQUIRE_FALSE(analysis.throws.empty());
  for (const auto& thrown : analysis.throws) CHECK(has_flag(thrown.flags, "heavier_than_stated"));
}

TEST_CASE("a mass stated so great that no throw is told is named as what may be why", "[mass]") {
  const Recorded recorded;
  constexpr double share = 4.0;  // no pitcher lands with so many body weights
  const auto analysis = recorded.with_mass(share);
  REQUIRE(analysis.throws.empty());
  REQUIRE(has_flag(analysis.remarks, "no_throw_found"));
  const std::string& words = analysis.remarks.front().detail;
  CAPTURE(words);
  // It names what stood there, which is what the athlete weighs to a few percent, and what was
  // stated.
  const double truth = recorded.reader.session().athlete.mass.value;
  const auto number_after = [&](const std::string& before) {
    return support::number_of(words.substr(words.find(before) + before.size()));
  };
  CHECK(number_after("one plate is ") == Approx(truth).epsilon(0.05));
  CHECK(number_after("given as ") == Approx(share * truth).margin(0.06));
}

TEST_CASE("a plate whose scale is twice too great is said", "[mass]") {
  const Recorded recorded;
  session::Session session = recorded.reader.session();
  const session::Plate& back = session.plates.front();
  REQUIRE(back.role == session::PlateRole::back);
  for (const int column : back.channels)
    session.devices[static_cast<std::size_t>(back.device)]
        .channels[static_cast<std::size_t>(column)]
        .scale *= 2.0;
  const auto analysis = pitch::analyse(support::in_memory(recorded.reader, session), {}).value();
  std::vector<session::ResultFlag> all = analysis.remarks;
  for (const auto& thrown : analysis.throws)
    all.insert(all.end(), thrown.flags.begin(), thrown.flags.end());
  CHECK(has_flag(all, "heavier_than_stated"));
}

TEST_CASE("a session whose parts lie ten years apart is measured part by part", "[parts]") {
  const Recorded recorded;
  const session::Reader& reader = recorded.reader;
  const auto alone = pitch::analyse(reader, {}).value();
  REQUIRE(alone.throws.size() == 3);
  // Gone on with on the same counters after the computer's clock was set right.
  constexpr double ten_years = 10.0 * 365.25 * 86400.0;
  session::MemoryRows twice = support::in_memory(reader, reader.session());
  const double pause = 5.0;
  double length = 0.0;
  for (std::size_t d = 0; d < reader.session().devices.size(); ++d)
    length = std::max(length, static_cast<double>(reader.sample_count(static_cast<int>(d))) /
                                  reader.session().devices[d].sample_rate);
  support::copy_rows(reader, twice, length + pause, ten_years);
  const auto both = pitch::analyse(twice, {});
  if (!both) FAIL(both.error().sentence());
  REQUIRE(both->throws.size() == 6);
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK(both->throws[i].contact == Approx(alone.throws[i].contact).margin(1e-3));
    CHECK(both->throws[i + 3].contact - both->throws[i].contact == Approx(ten_years).margin(1e-2));
    const auto braking = [&](const pitch::Analysis& analysis, std::size_t k) {
      return analysis.throws[k].measured(definitions::Quantity::braking_peak_force);
    };
    // The clocks' fits differ a little from the whole's.
    CHECK(std::abs(braking(*both, i + 3).value - braking(alone, i).value) <
          0.5 * braking(alone, i).u);
  }
}
