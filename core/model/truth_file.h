// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <nlohmann/json_fwd.hpp>
#include <vector>

#include "core/model/instruments.h"
#include "core/model/performance.h"
#include "core/model/station.h"

namespace moundwork::model {

/// What is true of a session: every throw's events (s on the session clock) and quantities by the
/// catalogue's keys, SI; what else happened; by how much the station is wrong. Undefined values are
/// null.
[[nodiscard]] nlohmann::ordered_json truth_document(const ModelAthlete& athlete,
                                                    const Performance& performance,
                                                    const Station& station,
                                                    const std::vector<LostBlock>& lost,
                                                    std::uint64_t seed);

}  // namespace moundwork::model
