// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/throw_windows.h"

#include <algorithm>

#include "core/foot/load_trace.h"

namespace moundwork::output {

Result<ThrowWindows> ThrowWindows::make(const session::Reader& reader,
                                        const definitions::Settings& settings,
                                        const Progress& progress) {
  ThrowWindows windows(reader, settings);
  for (const auto role : {session::PlateRole::back, session::PlateRole::lead}) {
    auto plate = foot::plate_of(reader, role);
    if (!plate) return tl::make_unexpected(plate.error());
    windows.plates_.push_back(std::move(*plate));
  }
  const foot::SessionPlate& back = windows.plates_[0];
  const foot::SessionPlate& lead = windows.plates_[1];
  const SessionTime begin = std::min(back.clock.begin(), lead.clock.begin());
  const SessionTime end = std::max(back.clock.end(), lead.clock.end());
  for (std::size_t i = 0; i < windows.plates_.size(); ++i) {
    foot::SessionPlate& one = windows.plates_[i];
    const auto half = static_cast<double>(i) / 2.0;
    const auto trace = foot::trace_load(reader, *one.plate, one.clock, begin, end,
                                        piece_of(progress, half, half + 0.5));
    if (!trace) return tl::make_unexpected(trace.error());
    one.unloaded = foot::unloaded_stretches(*trace, settings);
  }
  return windows;
}

Result<PlatesOfThrow> ThrowWindows::around(double contact) const {
  auto back = foot::window_around(*reader_, plates_[0], contact, settings_);
  if (!back) return tl::make_unexpected(back.error());
  auto lead = foot::window_around(*reader_, plates_[1], contact, settings_);
  if (!lead) return tl::make_unexpected(lead.error());
  return PlatesOfThrow{std::move(*back), std::move(*lead)};
}

}  // namespace moundwork::output
