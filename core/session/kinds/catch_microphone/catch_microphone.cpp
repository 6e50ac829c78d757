// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/attributes.h"
#include "core/session/hdf5.h"
#include "core/session/kinds/kind.h"

namespace moundwork::session {
namespace {

void write_microphone(H5::H5File& file, const Session& session) {
  if (!session.microphone) return;
  H5::Group group = file.createGroup("catch_microphone");
  hdf5::write(group, "device", static_cast<std::int64_t>(session.microphone->device));
  hdf5::write(group, "channel", static_cast<std::int64_t>(session.microphone->channel));
  hdf5::write(group, std::string("flight_distance_m"), session.microphone->flight_distance);
  hdf5::write(group, std::string("sound_distance_m"), session.microphone->sound_distance);
}

void read_microphone(const H5::H5File& file, Session& session) {
  if (!file.nameExists("catch_microphone")) return;
  const H5::Group group = file.openGroup("catch_microphone");
  const auto device = hdf5::read_integer(group, "device");
  const auto channel = hdf5::read_integer(group, "channel");
  hdf5::require_channel(session.devices, device, channel, "catch microphone");
  session.microphone = CatchMicrophone{static_cast<int>(device), static_cast<int>(channel),
                                       hdf5::read_measured(group, "flight_distance_m"),
                                       hdf5::read_measured(group, "sound_distance_m")};
}

}  // namespace

const Kind& catch_microphone_kind();
const Kind& catch_microphone_kind() {
  static const Kind kind{"catch_microphone", write_microphone, read_microphone, {}, {}};
  return kind;
}

}  // namespace moundwork::session
