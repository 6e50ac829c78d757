// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/kinds/station_table.h"
#include "drivers/kinds/station_words.h"

namespace moundwork::drivers {
namespace {

using session::Session;
using table::Section;

void read_trigger(const StationTable& one) {
  Session& session = one.session;
  const Section section(one.table, one.name, one.faults, {"device", "channel", "lag", "lag_u"});
  session::Trigger trigger;
  trigger.device = device_index(section, session);
  trigger.channel =
      channel_index(section, "channel", session, trigger.device, section.needed_text("channel"));
  trigger.lag = measured(section, "lag", Dimension::time);
  session.trigger = trigger;
}

std::string trigger_text(const Session& session) {
  if (!session.trigger) return {};
  const session::Trigger& t = *session.trigger;
  return "\n[trigger]\n" + channel_words(session, t.device, t.channel) +
         measured_words("lag", t.lag, "s");
}

}  // namespace

const StationKind& trigger_station();
const StationKind& trigger_station() {
  static const StationKind kind{"trigger", 1, false, read_trigger, trigger_text, {}};
  return kind;
}

}  // namespace moundwork::drivers
