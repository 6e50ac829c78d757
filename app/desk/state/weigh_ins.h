// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "app/desk/state/lab_folder.h"
#include "app/desk/state/roster.h"
#include "core/base/measured.h"
#include "core/base/result.h"
#include "core/session/session.h"
#include "core/weigh_in/weigh_in_file.h"

namespace moundwork::desk {

/// Folder of the lab's weigh-ins, one file each as `moundwork weigh-in` writes them.
[[nodiscard]] std::filesystem::path weigh_ins_folder(const LabFolder& lab);

/// Keeps a weigh-in beside those that were before it; none is ever written over. Returns its file.
[[nodiscard]] Result<std::filesystem::path> keep_weigh_in(const LabFolder& lab,
                                                          const weigh_in::WeighIn& weigh_in);

/// The athlete's last weigh-in of that day (ISO 8601) by the lab's clock; files that cannot be read
/// are passed over.
[[nodiscard]] std::optional<weigh_in::WeighIn> last_weigh_in(const LabFolder& lab,
                                                             const std::string& athlete_id,
                                                             const std::string& day);

/// Deletes that file and returns what it held. Fails in a sentence where there is none.
[[nodiscard]] Result<weigh_in::WeighIn> drop_last_weigh_in(const LabFolder& lab,
                                                           const std::string& athlete_id,
                                                           const std::string& day);

/// Heel and toe from the weigh-in of `day`, today if left out. Of the same day only: a foot that
/// steps on another day lies elsewhere along the rubber.
[[nodiscard]] std::optional<session::FootLine> foot_line_for(const LabFolder& lab,
                                                             const std::string& athlete_id,
                                                             const std::string& day = {});

/// The mass (kg) that a recording of `day`, today if left out, takes over: that day's weigh-in with
/// its uncertainty, else the roster's number as of another day; NaN when neither is there.
[[nodiscard]] Measured mass_for(const LabFolder& lab, const RosterAthlete& athlete,
                                const std::string& day = {});

}  // namespace moundwork::desk
