// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <string>

#include "app/index/forget.h"

class QWidget;

namespace moundwork::desk {

class DeskState;
class Jobs;
class Notice;

/// What would go, for people: how many files of each kind, which others must be made again.
[[nodiscard]] QString deletion_words(const index::ForgetPlan& plan);

/// Asks whom to delete (`id` at first), shows what the lab's folder and index hold of them, and
/// deletes it when the id has been typed. What came of it is told by `remark`.
void ask_deletion(DeskState& state, Jobs& jobs, Notice& remark, const std::string& id,
                  QWidget* parent);

}  // namespace moundwork::desk
