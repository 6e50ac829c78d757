// SPDX-License-Identifier: GPL-3.0-or-later
// From any bytes to the plates' wrench: what the reader accepts, the physics must survive.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <span>

#include "core/c3d/file.h"
#include "core/c3d/force_platforms.h"
#include "core/plate/wrench.h"

using namespace moundwork;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto file = c3d::parse(std::as_bytes(std::span(data, size)), "fuzz.c3d");
  if (!file) {
    if (file.error().sentence().empty()) std::abort();
    return 0;
  }
  for (std::size_t i = 0; i < file->points.labels.size(); ++i) {
    const auto path = c3d::trajectory(*file, static_cast<Eigen::Index>(i));
    if (path.rows() != file->frame_count) std::abort();
  }
  const auto platforms = c3d::force_platforms(*file);
  if (!platforms) return 0;
  for (const auto& platform : *platforms) {
    if (!platform) continue;
    const auto map = plate::WrenchMap::make(platform->description);
    if (!map) std::abort();
    const auto wrench = (*map)(c3d::scaled(file->analog, platform->channels));
    const auto cop = plate::centre_of_pressure(wrench, map->frame(), 50.0);
    const auto moment = plate::free_moment(wrench, map->frame(), cop);
    if (moment.rows() != c3d::sample_count(file->analog)) std::abort();
  }
  return 0;
}
