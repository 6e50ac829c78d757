// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

class QWidget;

namespace moundwork::desk {

class DeskState;
class Jobs;
class Notice;

/// Asks which index the lab keeps, and enters the lab's sessions in a new one. What came of it is
/// told by `remark`.
void ask_index(DeskState& state, Jobs& jobs, Notice& remark, QWidget* parent);

}  // namespace moundwork::desk
