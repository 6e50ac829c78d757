// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/output/pseudonym.h"

namespace moundwork::output {

/// Which file's key the codes are made with.
struct LabKeyPlace {
  std::filesystem::path path;
  std::string remark;  ///< a sentence where another key would give other codes; else empty
};

/// One rule for window and command line: the file that is named, else `lab.key` in the folder of
/// the lab that the sessions lie in, else `account`'s. A lab that has no key yet starts with the
/// account's, so that codes given before it was a lab's stay. Fails in a sentence where the
/// sessions are of labs whose codes differ.
[[nodiscard]] Result<LabKeyPlace> lab_key_for(
    const std::vector<std::filesystem::path>& sessions,
    const std::optional<std::filesystem::path>& named,
    const Result<std::filesystem::path>& account = default_lab_key_path());

/// The key of that place; made where there is none.
[[nodiscard]] Result<LabKey> key_of(
    const LabKeyPlace& place,
    const Result<std::filesystem::path>& account = default_lab_key_path());

}  // namespace moundwork::output
