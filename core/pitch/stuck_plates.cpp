// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/stuck_plates.h"

#include <algorithm>
#include <limits>

#include "core/session/flagged.h"

namespace moundwork::pitch {
namespace {

using definitions::Flag;
using definitions::Foot;
using definitions::reads;
using session::flagged;

bool comes_to_life(const foot::PlateWindow& plate) {
  return std::any_of(plate.stuck.begin(), plate.stuck.end(), [&](const foot::StuckChannel& stuck) {
    return stuck.span.end < plate.end() - plate.step;
  });
}

class OfFeet {
 public:
  explicit OfFeet(const PlatesOfThrow& plates) : plates_(plates) {}

  void add(session::PlateRole role, const FootOfThrow& foot, foot::TimeSpan used) {
    // A plate that writes small forces as nothing stands still up to the landing itself.
    constexpr double into = 0.02;  // s
    for (std::size_t i = 0; i < foot.plates.size(); ++i) {
      const foot::PlateWindow& plate = foot.window.plates()[i];
      const auto touches =
          std::find_if(plate.stuck.begin(), plate.stuck.end(), [&](const auto& stuck) {
            return std::min(stuck.span.end, used.end) - std::max(stuck.span.begin, used.begin) >
                   std::min(into, used.end - used.begin);
          });
      if (touches == plate.stuck.end() || another_hides(plate)) continue;
      found_.push_back({role, foot.plates[i].ordinal, *touches});
    }
  }
  [[nodiscard]] std::vector<StuckPlate> found() && { return std::move(found_); }

 private:
  [[nodiscard]] bool another_hides(const foot::PlateWindow& one) const {
    for (const FootOfThrow* foot : {&plates_.back, &plates_.lead})
      for (const foot::PlateWindow& plate : foot->window.plates())
        if (&plate != &one && comes_to_life(plate)) return true;
    return false;
  }

  const PlatesOfThrow& plates_;
  std::vector<StuckPlate> found_;
};

}  // namespace

std::vector<StuckPlate> stuck_plates(const PlatesOfThrow& plates, const MeasuredSpans& used) {
  OfFeet feet(plates);
  feet.add(session::PlateRole::back, plates.back, used.back);
  feet.add(session::PlateRole::lead, plates.lead, used.lead);
  return std::move(feet).found();
}

void blank_stuck(const std::vector<StuckPlate>& stuck, QuantityValues& quantities) {
  for (const StuckPlate& plate : stuck) {
    const Foot its = plate.role == session::PlateRole::back ? Foot::back : Foot::lead;
    for (std::size_t i = 0; i < quantity_count; ++i)
      if (reads(definitions::entry(static_cast<Quantity>(i)).foot, its))
        quantities[i] = std::numeric_limits<double>::quiet_NaN();
  }
}

std::vector<session::ResultFlag> stuck_flags(const std::vector<StuckPlate>& stuck) {
  std::vector<session::ResultFlag> flags;
  for (const StuckPlate& plate : stuck)
    flags.push_back(flagged(Flag::channel_stuck, fmt::arg("channel", plate.stuck.channel),
                            fmt::arg("plate", plate.ordinal),
                            fmt::arg("time", plate.stuck.span.begin),
                            fmt::arg("length", plate.stuck.span.end - plate.stuck.span.begin)));
  return flags;
}

}  // namespace moundwork::pitch
