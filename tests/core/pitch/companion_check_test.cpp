// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/companion_check.h"

#include <hdf5.h>

#include <array>
#include <catch2/catch.hpp>
#include <cstdint>
#include <filesystem>
#include <vector>

#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/companion.h"
#include "core/session/edit_list.h"
#include "core/session/reader.h"
#include "core/session/results.h"
#include "support/folder.h"
#include "support/version_0_1.h"

using namespace moundwork;
namespace fs = std::filesystem;

namespace {

session::Reader opened(const fs::path& path) {
  auto reader = session::Reader::open(path);
  REQUIRE(reader);
  return std::move(*reader);
}

// Another recording comes under the same name, as by a copied day folder.
void put_another_in_place_of(const fs::path& path) {
  fs::remove(path);
  model::SessionSettings settings;
  settings.athlete = 2;
  settings.station.rate = 500.0;
  // Under its own name at first: what is made under a name sees to its companion itself.
  const fs::path other = path.parent_path() / "other.h5";
  REQUIRE(model::simulate_session(other, settings));
  fs::rename(other, path);
}

}  // namespace

TEST_CASE("results of version 0.1 go on where they lie beside their own session", "[old]") {
  const support::Folder folder;
  const auto path = folder / "two-pitches.h5";
  support::copy_version_0_1(path);
  const auto settled = pitch::settle_companion(opened(path));
  REQUIRE(settled);
  CHECK_FALSE(*settled);
  CHECK(session::companion_of(path) == session::Companion::own);
  // The analysis follows what was marked and moved then.
  const auto analysis = pitch::analyse(opened(path), {});
  REQUIRE(analysis);
  REQUIRE(analysis->throws.size() == 2);
  CHECK(analysis->edits_known == 13);
  CHECK(analysis->throws[0].tags.at("cue") == "heel, then hip");
  CHECK(at(analysis->throws[0].events, definitions::Event::release) == 25.405);
}

TEST_CASE("results of version 0.1 beside another session are set aside and said", "[old]") {
  const support::Folder folder;
  const auto path = folder / "two-pitches.h5";
  support::copy_version_0_1(path);
  const auto companion = session::companion_path(path);
  const std::string results = support::bytes_of(companion);
  put_another_in_place_of(path);
  const auto settled = pitch::settle_companion(opened(path));
  REQUIRE(settled);
  REQUIRE(*settled);
  CHECK((*settled)->find("two-pitches.results.hdf5.of-another-session") != std::string::npos);
  CHECK_FALSE(fs::exists(companion));
  CHECK(support::bytes_of(companion.string() + ".of-another-session") == results);
  CHECK(session::read_results(path)->made.empty());
  CHECK(session::read_edits(path)->empty());
}

TEST_CASE("of an analysis of version 0.1 that found nothing the edits say whose it is", "[old]") {
  const support::Folder folder;
  const auto path = folder / "two-pitches.h5";
  support::copy_version_0_1(path);
  {
    // As an analysis with thresholds that no throw reaches left it.
    const hid_t file = H5Fopen(session::companion_path(path).c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
    REQUIRE(file >= 0);
    const hid_t runs = H5Dopen2(file, "results/runs", H5P_DEFAULT);
    const hid_t space = H5Dget_space(runs);
    constexpr std::array counts{"throws_count", "values_count", "flags_count"};
    const std::vector<std::int64_t> none(
        counts.size() * static_cast<std::size_t>(H5Sget_simple_extent_npoints(space)), 0);
    const hid_t type = H5Tcreate(H5T_COMPOUND, counts.size() * sizeof(std::int64_t));
    for (std::size_t i = 0; i < counts.size(); ++i)
      H5Tinsert(type, counts[i], i * sizeof(std::int64_t), H5T_NATIVE_INT64);
    REQUIRE(H5Dwrite(runs, type, H5S_ALL, H5S_ALL, H5P_DEFAULT, none.data()) >= 0);
    H5Tclose(type);
    H5Sclose(space);
    H5Dclose(runs);
    H5Fclose(file);
  }
  const std::string results = support::bytes_of(session::companion_path(path));
  SECTION("its own stay") {
    const auto settled = pitch::settle_companion(opened(path));
    REQUIRE(settled);
    CHECK_FALSE(*settled);
    CHECK(session::read_edits(path)->size() == 13);
  }
  SECTION("another session's are set aside") {
    put_another_in_place_of(path);
    const auto settled = pitch::settle_companion(opened(path));
    REQUIRE(settled);
    REQUIRE(*settled);
    CHECK(support::bytes_of(session::companion_path(path).string() + ".of-another-session") ==
          results);
  }
}
