// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/attributes.h"
#include "core/session/hdf5.h"
#include "core/session/kinds/kind.h"

namespace moundwork::session {
namespace {

void write_trigger(H5::H5File& file, const Session& session) {
  if (!session.trigger) return;
  H5::Group group = file.createGroup("trigger");
  hdf5::write(group, "device", static_cast<std::int64_t>(session.trigger->device));
  hdf5::write(group, "channel", static_cast<std::int64_t>(session.trigger->channel));
  hdf5::write(group, std::string("lag_s"), session.trigger->lag);
}

void read_trigger(const H5::H5File& file, Session& session) {
  if (!file.nameExists("trigger")) return;
  const H5::Group group = file.openGroup("trigger");
  const auto device = hdf5::read_integer(group, "device");
  const auto channel = hdf5::read_integer(group, "channel");
  hdf5::require_channel(session.devices, device, channel, "trigger");
  session.trigger = Trigger{static_cast<int>(device), static_cast<int>(channel),
                            hdf5::read_measured(group, "lag_s")};
}

}  // namespace

const Kind& trigger_kind();
const Kind& trigger_kind() {
  static const Kind kind{"trigger", write_trigger, read_trigger, {}, {}};
  return kind;
}

}  // namespace moundwork::session
