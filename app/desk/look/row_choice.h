// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QItemSelectionModel>

namespace moundwork::desk {

/// For lists in which exactly one row is chosen: a click or key on a row chooses it alone, and one
/// beside the rows changes nothing, so that the marked row is always the one that keys change.
[[nodiscard]] inline QItemSelectionModel::SelectionFlags row_choice(const QModelIndex& index) {
  return index.isValid() ? QItemSelectionModel::ClearAndSelect | QItemSelectionModel::Rows
                         : QItemSelectionModel::SelectionFlags(QItemSelectionModel::NoUpdate);
}

}  // namespace moundwork::desk
