// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <string>

#include "core/session/session.h"

/// Plates as people read of them.
namespace moundwork::session {

/// "back plate" and "lead plate".
[[nodiscard]] std::string plate_name(PlateRole role);

/// "the lead plate", or "the lead plates together" where several serve that foot.
[[nodiscard]] std::string plates_of_foot(const Session& session, PlateRole role);

/// What stands before "plate": "lead" where one plate serves that foot, else "first lead", "second
/// lead" in the session's order. `index` into Session::plates.
[[nodiscard]] std::string plate_ordinal(const Session& session, std::size_t index);
/// "lead plate" or "second lead plate".
[[nodiscard]] std::string plate_name(const Session& session, std::size_t index);

/// Of a plate that serves no foot: "plate 3 of the imported file", or "a
/// plate".
[[nodiscard]] std::string other_plate_name(const Plate& plate);

}  // namespace moundwork::session
