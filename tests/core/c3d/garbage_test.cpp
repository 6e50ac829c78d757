// SPDX-License-Identifier: GPL-3.0-or-later
// Every valid sample file cut at every length and with every byte of its head changed: the reader
// must answer with a file or a sentence, and what it accepts must survive the plates' physics.
#include <algorithm>
#include <catch2/catch.hpp>
#include <random>
#include <string>
#include <vector>

#include "core/c3d/file.h"
#include "core/c3d/force_platforms.h"
#include "core/plate/wrench.h"
#include "support/c3d_builder.h"

using namespace moundwork;

namespace {

// Returns whether the bytes were accepted; throws where an answer breaks its promise.
bool survives(std::span<const std::byte> bytes) {
  const auto file = c3d::parse(bytes, "garbage.c3d");
  if (!file) {
    if (file.error().what.empty()) throw std::logic_error("an error without a sentence");
    return false;
  }
  const auto frames = static_cast<std::size_t>(file->frame_count);
  if (file->points.xyz.size() != frames * file->points.labels.size() * 3)
    throw std::logic_error("points do not match the labels");
  // Each stored value takes at least two bytes and becomes at most four.
  if (file->points.xyz.size() * 2 > bytes.size()) throw std::logic_error("points from nowhere");
  const auto platforms = c3d::force_platforms(*file);
  if (!platforms) return true;
  for (const auto& platform : *platforms) {
    if (!platform) continue;
    const auto map = plate::WrenchMap::make(platform->description);
    if (!map) throw std::logic_error("a platform that cannot be built");
    const auto wrench = (*map)(c3d::scaled(file->analog, platform->channels));
    if (wrench.rows() != c3d::sample_count(file->analog)) throw std::logic_error("lost samples");
  }
  return true;
}

}  // namespace

TEST_CASE("a C3D file cut anywhere is refused", "[c3d][garbage]") {
  for (const auto& [name, bytes] : test::sample_c3d_files()) {
    INFO(name);
    REQUIRE(survives(bytes));
    // The last block is padding after the last frame, so a cut inside it may be harmless.
    std::size_t accepted = 0;
    for (std::size_t length = 0; length < bytes.size(); ++length)
      if (survives(std::span(bytes).first(length))) ++accepted;
    CHECK(accepted < 512);
  }
}

TEST_CASE("a C3D file with any one byte changed is read or refused", "[c3d][garbage]") {
  for (const auto& [name, bytes] : test::sample_c3d_files()) {
    INFO(name);
    auto changed = bytes;
    std::size_t refused = 0;
    // Beyond the first blocks lie samples, which mean nothing to the parser.
    const std::size_t head = std::min<std::size_t>(bytes.size(), 8 * 512);
    for (std::size_t at = 0; at < head; ++at) {
      for (const int value : {0x00, 0x80, 0xff}) {
        changed[at] = static_cast<std::byte>(value);
        if (!survives(changed)) ++refused;
      }
      changed[at] = bytes[at];
    }
    CHECK(refused > 0);
  }
}

TEST_CASE("a C3D file with many bytes changed is read or refused", "[c3d][garbage]") {
  std::mt19937 random(20240611);  // the same rubbish each time, so that a failure can be repeated
  for (const auto& [name, bytes] : test::sample_c3d_files()) {
    INFO(name);
    std::uniform_int_distribution<std::size_t> place(0, bytes.size() - 1);
    std::uniform_int_distribution<int> value(0, 255);
    std::uniform_int_distribution<int> how_many(2, 40);
    std::size_t accepted = 0;
    for (int round = 0; round < 2000; ++round) {
      auto changed = bytes;
      for (int i = how_many(random); i > 0; --i)
        changed[place(random)] = static_cast<std::byte>(value(random));
      // The identity bytes are put right, or nothing else would be reached.
      std::copy_n(bytes.begin(), 2, changed.begin());
      changed[515] = bytes[515];
      if (survives(changed)) ++accepted;
    }
    CHECK(accepted > 0);
    CHECK(accepted < 2000);
  }
}
