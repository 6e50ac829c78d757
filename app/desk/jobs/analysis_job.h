// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <functional>

#include "app/desk/jobs/jobs.h"
#include "app/desk/state/lab_folder.h"
#include "core/base/result.h"

namespace moundwork::desk {

/// Analyses a session off the interface thread, edits included, and writes the results beside it
/// and into the lab's index, where it keeps one.
/// `done` is told on the interface thread, also that it was stopped by the user.
void analyse_session(Jobs& jobs, QObject* owner, const LabFolder& lab,
                     const std::filesystem::path& session,
                     const std::function<void(const Result<void>&)>& done);

}  // namespace moundwork::desk
