// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/throw_windows.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "core/pitch/load_trace.h"

namespace moundwork::output {

Result<ThrowWindows> ThrowWindows::make(const session::Reader& reader,
                                        const pitch::Settings& settings) {
  ThrowWindows windows(reader, settings);
  for (const auto role : {session::PlateRole::back, session::PlateRole::lead}) {
    const auto& plates = reader.session().plates;
    const auto plate = std::find_if(plates.begin(), plates.end(),
                                    [role](const auto& one) { return one.role == role; });
    if (plate == plates.end())
      return fail(reader.path().string(),
                  role == session::PlateRole::back ? "has no back plate" : "has no lead plate",
                  "import it again and say which plate is which");
    const auto blocks = reader.blocks(plate->device);
    if (!blocks) return tl::make_unexpected(blocks.error());
    auto clock = session::SampleClock::make(
        reader.session().devices[static_cast<std::size_t>(plate->device)], *blocks,
        reader.sample_count(plate->device));
    if (!clock) return fail(reader.path().string(), clock.error().sentence());
    windows.plates_.push_back({&*plate, std::move(*clock), {}});
  }
  const OnePlate& back = windows.plates_[0];
  const OnePlate& lead = windows.plates_[1];
  const SessionTime begin = std::min(back.clock.begin(), lead.clock.begin());
  const SessionTime end = std::max(back.clock.end(), lead.clock.end());
  for (OnePlate& one : windows.plates_) {
    const auto trace = pitch::trace_load(reader, *one.plate, one.clock, begin, end, {});
    if (!trace) return tl::make_unexpected(trace.error());
    one.unloaded = pitch::unloaded_stretches(*trace, settings);
  }
  return windows;
}

Result<pitch::PlateWindow> ThrowWindows::cut(const OnePlate& one, double contact) const {
  // As the analysis does, so that its zero is the analysis's.
  constexpr double back_foot_loaded = 0.5;  // s before contact
  return pitch::cut_window(
      *reader_, *one.plate, one.clock,
      {contact - settings_.window_before, contact + settings_.window_after},
      pitch::nearest_stretch(one.unloaded, contact - back_foot_loaded, contact), settings_);
}

Result<PlatesOfThrow> ThrowWindows::around(double contact) const {
  auto back = cut(plates_[0], contact);
  if (!back) return tl::make_unexpected(back.error());
  auto lead = cut(plates_[1], contact);
  if (!lead) return tl::make_unexpected(lead.error());
  return PlatesOfThrow{std::move(*back), std::move(*lead)};
}

Result<pitch::Settings> settings_of(const session::ResultSet& results, const std::string& where) {
  pitch::Settings settings;
  try {
    nlohmann::json::parse(results.settings).get_to(settings);
  } catch (const std::exception& problem) {
    return fail(where,
                std::string("the settings of its analysis cannot be read: ") + problem.what(),
                "run moundwork analyse on it again");
  }
  return settings;
}

}  // namespace moundwork::output
