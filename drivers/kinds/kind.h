// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "core/base/result.h"
#include "core/session/reader.h"
#include "drivers/check/checks.h"
#include "drivers/codec/event_codec.h"
#include "drivers/transport/port.h"

/// Kinds of instruments: how a station file describes one, how it is reached, read and checked.
/// Each kind is a folder here and a line in list.cpp; what it is stands in core/session/kinds.
namespace moundwork::drivers {

struct StationTable;

/// How an instrument that sends events is reached and read.
struct EventPort {
  std::string kind;  ///< the kind's key
  std::string name;  ///< of this one, as in the session
  PortSettings port;
  std::function<std::unique_ptr<EventCodec>()> make_codec;
};

/// A check that asks for nothing but something to be done meanwhile.
struct KindCheck {
  std::string_view key;    ///< as CheckLine::check has it and as it is typed
  std::string_view title;  ///< over it in a list
  std::string_view task;   ///< what people do while it records
  std::function<Result<CheckSheet>(const session::Reader&, const CheckLimits&)> evaluate;
};

struct StationKind {
  std::string_view key;  ///< of its table in the station file and of the kind in core
  /// How many a station may have; with `listed` they are written [[key]].
  std::size_t most = 1;
  bool listed = false;
  std::function<void(const StationTable&)> read;
  /// Its tables of a station file whose ports stand beside it, for a session that is played.
  std::function<std::string(const session::Session&)> text;
  std::optional<KindCheck> check;
};

}  // namespace moundwork::drivers
