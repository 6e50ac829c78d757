// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QTableView>

namespace moundwork::desk {

class ThrowList;

/// The list of throws on the page Throw. It follows the throw that is shown; what a person chooses
/// in it is told. A click beside the rows chooses nothing and takes nothing away.
class ThrowTable : public QTableView {
  Q_OBJECT
 public:
  explicit ThrowTable(ThrowList& list, QWidget* parent = nullptr);
  /// Marks a row as the one that is shown, or none with -1; this is nobody's choice.
  void follow(int row);

 Q_SIGNALS:
  void row_chosen(int row);

 protected:
  [[nodiscard]] QItemSelectionModel::SelectionFlags selectionCommand(
      const QModelIndex& index, const QEvent* event) const override;

 private:
  bool following_ = false;
};

}  // namespace moundwork::desk
