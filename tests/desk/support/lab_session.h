// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <stdexcept>

#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/reader.h"

namespace moundwork::support {

/// An invented athlete's session of so many throws, measured.
inline void make_measured_session(const std::filesystem::path& path, int pitches, int athlete = 1) {
  model::SessionSettings settings;
  settings.athlete = athlete;
  settings.performance.pitches = pitches;
  settings.performance.activities = false;
  const auto made = model::simulate_session(path, settings);
  if (!made) throw std::runtime_error(made.error().sentence());
  const auto reader = session::Reader::open(path);
  if (!reader) throw std::runtime_error(reader.error().sentence());
  const auto analysis = pitch::analyse(*reader, {});
  if (!analysis) throw std::runtime_error(analysis.error().sentence());
  const auto written =
      session::append_results(path, pitch::to_results(*analysis, {}, "2026-05-04T10:00:00Z"));
  if (!written) throw std::runtime_error(written.error().sentence());
}

}  // namespace moundwork::support
