// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/device_words.h"

#include "app/desk/kinds/list.h"
#include "core/base/sentence.h"

namespace moundwork::desk {
namespace {

// A port that opens at the first attempts needs no alarm.
constexpr double opens_within = 2.0;  // s

QString with_reason(const QString& words, const std::string& reason) {
  return reason.empty() ? words : words + QStringLiteral(" ") + QString::fromStdString(reason);
}

DeviceLamp event_lamp(const DeviceSight& sight, DeviceLamp lamp) {
  const ShownKind& kind = shown_kind(sight.kind);
  lamp.state = LampState::good;
  if (sight.accepted > 1)
    lamp.words = kind.many.arg(sight.accepted);
  else
    lamp.words = sight.accepted == 1 ? kind.one : kind.none;
  // Now and then a torn line is nothing; more of them than events is a wrong pattern or speed.
  if (sight.refused > sight.accepted + 2) {
    lamp.state = LampState::trouble;
    lamp.words = kind.refused.arg(sight.refused);
  }
  return lamp;
}

}  // namespace

DeviceLamp lamp_of(const DeviceSight& sight) {
  using drivers::LinkState;
  DeviceLamp lamp{QString::fromStdString(sight.name), LampState::trouble, {}};
  switch (sight.state) {
    case LinkState::streaming:
    case LinkState::silent:
      if (!sight.sampled) return event_lamp(sight, std::move(lamp));
      if (sight.state == LinkState::silent) {
        lamp.words = QStringLiteral("sends nothing. Is it switched on, and set to send?");
      } else if (sight.missing > 0) {
        lamp.state = LampState::waiting;
        lamp.words = QStringLiteral("sends; %1 samples lost so far").arg(sight.missing);
      } else if (!sight.zeroed) {
        lamp.state = LampState::waiting;
        lamp.words = sight.not_zeroed.empty()
                         ? QStringLiteral("sends; no zero yet: leave it empty for a second")
                         : QString::fromStdString(
                               sentence("sends; no zero yet: leave the {plate} empty for a second",
                                        "plate"_is(sight.not_zeroed)));
      } else {
        lamp.state = LampState::good;
        lamp.words = QStringLiteral("sends");
      }
      return lamp;
    case LinkState::opening:
    case LinkState::closed:
      if (sight.recorded_for < opens_within) {
        lamp.state = LampState::waiting;
        lamp.words = QStringLiteral("is being opened");
      } else {
        lamp.words = with_reason(QStringLiteral("cannot be reached."), sight.last_failure);
      }
      return lamp;
    case LinkState::lost:
      lamp.words = QStringLiteral("is unplugged. Plug it in again; it then goes on by itself.");
      return lamp;
    case LinkState::finished:
      lamp.state = LampState::waiting;
      lamp.words = QStringLiteral("has come to the end of what was captured");
      return lamp;
  }
  return lamp;
}

}  // namespace moundwork::desk
