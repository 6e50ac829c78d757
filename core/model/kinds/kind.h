// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <functional>
#include <string_view>
#include <vector>

#include "core/base/random.h"
#include "core/model/performance.h"
#include "core/model/station.h"
#include "core/session/session.h"

/// Kinds of instruments that the invented lab can have beside those it always has. A kind is a
/// folder here and a line in list.cpp.
namespace moundwork::model {

struct ModelKind {
  std::string_view key;  ///< as the kind has it in core/session/kinds
  /// What the lab states of it.
  std::function<session::EventInstrument(const Station&)> stated;
  /// What it sends during a performance, by arrival.
  std::function<std::vector<session::InstrumentEvent>(const session::EventInstrument&,
                                                      const Performance&, const Station&,
                                                      const StationSettings&, Random&)>
      events;
};

}  // namespace moundwork::model
