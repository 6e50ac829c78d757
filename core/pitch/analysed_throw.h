// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/ball/release.h"
#include "core/base/measured.h"
#include "core/pitch/throw_data.h"
#include "core/pitch/uncertainty.h"
#include "core/session/edit_state.h"
#include "core/session/results.h"

namespace moundwork::pitch {

/// One throw, measured.
struct AnalysedThrow {
  int number = 0;        ///< from 1 in order of time
  double contact = 0.0;  ///< what edits name it by: lead contact as found, s
  EventTimes events{};   ///< with those that a person moved where they were put
  EventTimes found{};    ///< as found
  QuantityValues quantities{};
  Uncertainty uncertainty;
  ball::Release release;
  std::vector<session::ResultFlag> flags;
  std::optional<session::Exclusion> excluded;
  std::map<std::string, std::string> tags;

  [[nodiscard]] Measured measured(Event event) const;
  [[nodiscard]] Measured measured(Quantity quantity) const;
};

}  // namespace moundwork::pitch
