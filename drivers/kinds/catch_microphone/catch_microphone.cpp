// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/kinds/station_table.h"
#include "drivers/kinds/station_words.h"

namespace moundwork::drivers {
namespace {

using session::Session;
using table::Section;

void read_microphone(const StationTable& one) {
  Session& session = one.session;
  const Section section(one.table, one.name, one.faults,
                        {"device", "channel", "flight_distance", "flight_distance_u",
                         "sound_distance", "sound_distance_u"});
  for (const char* key : {"flight_distance", "sound_distance"}) section.need(key);
  session::CatchMicrophone microphone;
  microphone.device = device_index(section, session);
  microphone.channel =
      channel_index(section, "channel", session, microphone.device, section.needed_text("channel"));
  microphone.flight_distance = measured(section, "flight_distance", Dimension::length);
  if (section.has("flight_distance") && microphone.flight_distance.value == 0.0)
    section.fault_at("flight_distance", "is 0");
  microphone.sound_distance = measured(section, "sound_distance", Dimension::length);
  session.microphone = microphone;
}

std::string microphone_text(const Session& session) {
  if (!session.microphone) return {};
  const session::CatchMicrophone& m = *session.microphone;
  return "\n[catch_microphone]\n" + channel_words(session, m.device, m.channel) +
         measured_words("flight_distance", m.flight_distance, "m") +
         measured_words("sound_distance", m.sound_distance, "m");
}

}  // namespace

const StationKind& catch_microphone_station();
const StationKind& catch_microphone_station() {
  static const StationKind kind{"catch_microphone", 1, false, read_microphone, microphone_text, {}};
  return kind;
}

}  // namespace moundwork::drivers
