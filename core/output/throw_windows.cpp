// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/throw_windows.h"

#include <algorithm>
#include <iterator>
#include <utility>

#include "core/foot/foot_window.h"
#include "core/foot/load_trace.h"

namespace moundwork::output {

Result<foot::PlateWindow> PlatesOfThrow::foot(session::PlateRole role) const {
  std::vector<foot::PlateWindow> windows;
  for (const PlateAround& plate : plates)
    if (plate.role == role) windows.push_back(plate.window);
  auto together = foot::FootWindow::make(std::move(windows));
  if (!together) return tl::make_unexpected(together.error());
  return together->whole();
}

Result<ThrowWindows> ThrowWindows::make(const session::Reader& reader,
                                        const definitions::Settings& settings,
                                        const Progress& progress) {
  ThrowWindows windows(reader, settings);
  for (const auto role : {session::PlateRole::back, session::PlateRole::lead}) {
    auto plates = foot::plates_of(reader, role);
    if (!plates) return tl::make_unexpected(plates.error());
    std::move(plates->begin(), plates->end(), std::back_inserter(windows.plates_));
  }
  SessionTime begin = windows.plates_.front().clock.begin();
  SessionTime end = windows.plates_.front().clock.end();
  for (const foot::SessionPlate& plate : windows.plates_) {
    begin = std::min(begin, plate.clock.begin());
    end = std::max(end, plate.clock.end());
  }
  const auto all = static_cast<double>(windows.plates_.size());
  for (std::size_t i = 0; i < windows.plates_.size(); ++i) {
    foot::SessionPlate& one = windows.plates_[i];
    const auto done = static_cast<double>(i);
    const auto trace = foot::trace_load(reader, *one.plate, one.clock, begin, end,
                                        piece_of(progress, done / all, (done + 1.0) / all));
    if (!trace) return tl::make_unexpected(trace.error());
    one.unloaded = foot::unloaded_stretches(*trace, settings);
  }
  return windows;
}

Result<PlatesOfThrow> ThrowWindows::around(double contact) const {
  PlatesOfThrow around;
  for (const foot::SessionPlate& plate : plates_) {
    auto window = foot::window_around(*reader_, plate, contact, settings_);
    if (!window) return tl::make_unexpected(window.error());
    around.plates.push_back({plate.plate->role, plate.ordinal, std::move(*window)});
  }
  return around;
}

}  // namespace moundwork::output
