// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <utility>
#include <vector>

#include "core/ball/ball_of_throw.h"
#include "core/base/result.h"
#include "core/definitions/settings.h"
#include "core/pitch/analysed_throw.h"
#include "core/pitch/moved_events.h"
#include "core/pitch/plates_of_throw.h"
#include "core/pitch/throw_data.h"
#include "core/pitch/uncertainty.h"
#include "core/session/edit_state.h"
#include "core/session/session.h"

namespace moundwork::pitch {

/// How much of a throw's window is kept at hand: all that was cut out, or what the numbers of a
/// throw whose events nobody moved are read from.
enum class Extent { whole_window, measured_part };

/// One throw with all it is measured from in memory, so that it can be measured again at once when
/// an event is moved. Reads no file; as safe in several threads as any const object.
class ThrowInMemory {
 public:
  /// `coarse_contact` is the throw finder's, s. Fails when a plate was sampled too slowly for the
  /// settings' filters.
  [[nodiscard]] static Result<ThrowInMemory> make(const session::Session& session,
                                                  PlatesOfThrow plates, double coarse_contact,
                                                  ball::BallOfThrow ball,
                                                  const definitions::Settings& settings,
                                                  Extent extent = Extent::whole_window);

  /// Both feet's filtered forces and centres of pressure over the extent, for drawing.
  [[nodiscard]] const ThrowData& data() const { return data_; }
  /// What each plate of a foot recorded over the window, tared and not filtered, for drawing.
  [[nodiscard]] const PlatesOfThrow& plates() const { return plates_; }
  [[nodiscard]] const EventTimes& found() const { return found_; }
  /// What edits name this throw by: lead contact as found, or the finder's where none is clear.
  [[nodiscard]] double contact() const;
  /// Adds a doubt that comes from outside of the throw's own window.
  void doubt(session::ResultFlag flag) { session_flags_.push_back(std::move(flag)); }
  /// Release as the ball's instruments told it.
  [[nodiscard]] const ball::Release& release() const { return ball_.release; }

  /// Moved events stay where they were put; the others follow their definitions, so what is defined
  /// from a moved one goes with it. A move to outside of the window counts as none.
  [[nodiscard]] EventTimes events(const MovedEvents& moved = {}) const;
  /// Without uncertainties, fast enough to follow a drag.
  [[nodiscard]] QuantityValues values(const MovedEvents& moved = {}) const;
  /// With uncertainties and flags.
  [[nodiscard]] AnalysedThrow measure(const MovedEvents& moved = {}) const;
  /// As the edits say, with its tags, its exclusion and a flag for every event that was moved.
  [[nodiscard]] AnalysedThrow measure(const session::EditState& edits) const;

 private:
  ThrowInMemory() = default;
  [[nodiscard]] MovedEvents within_window(const MovedEvents& moved) const;
  [[nodiscard]] QuantityValues values_at(const EventTimes& events) const;

  definitions::Settings settings_;
  PlatesOfThrow plates_;
  ThrowData data_;
  ThrowData twice_;  ///< filtered twice, for the uncertainty
  InputUncertainty inputs_;
  ball::BallOfThrow ball_;
  std::vector<session::ResultFlag> session_flags_;
  EventTimes found_{};
};

}  // namespace moundwork::pitch
