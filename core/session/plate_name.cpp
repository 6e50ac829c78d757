// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/plate_name.h"

#include "core/base/sentence.h"

namespace moundwork::session {

std::string plate_name(PlateRole role) {
  return role == PlateRole::back ? sentence("back plate") : sentence("lead plate");
}

}  // namespace moundwork::session
