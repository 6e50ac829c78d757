// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/throw_table.h"

#include <QHeaderView>
#include <QScopedValueRollback>

#include "app/desk/capture/throw_list.h"
#include "app/desk/look/row_choice.h"

namespace moundwork::desk {

ThrowTable::ThrowTable(ThrowList& list, QWidget* parent) : QTableView(parent) {
  setModel(&list);
  setSelectionBehavior(QAbstractItemView::SelectRows);
  setSelectionMode(QAbstractItemView::SingleSelection);
  setTabKeyNavigation(false);
  setWordWrap(false);
  setAccessibleName(QStringLiteral("Throws of this recording, the newest on top"));
  verticalHeader()->hide();
  verticalHeader()->setSectionResizeMode(QHeaderView::Fixed);
  verticalHeader()->setDefaultSectionSize(fontMetrics().height() + 6);
  QHeaderView* columns = horizontalHeader();
  columns->setSectionResizeMode(QHeaderView::ResizeToContents);
  // A time is wider than its heading, and the first comes when the columns have their widths.
  columns->setSectionResizeMode(ThrowList::time, QHeaderView::Fixed);
  columns->resizeSection(ThrowList::time,
                         fontMetrics().horizontalAdvance(QStringLiteral("0:00:00")) + 12);
  columns->setSectionResizeMode(ThrowList::tags, QHeaderView::Stretch);
  columns->setSectionResizeMode(ThrowList::remarks, QHeaderView::Stretch);
  columns->setHighlightSections(false);
  connect(selectionModel(), &QItemSelectionModel::currentRowChanged, this,
          [this](const QModelIndex& now) {
            if (!following_ && now.isValid()) Q_EMIT row_chosen(now.row());
          });
}

void ThrowTable::follow(int row) {
  const QScopedValueRollback guard(following_, true);
  if (row < 0)
    selectionModel()->clear();
  else if (row != currentIndex().row() || !selectionModel()->isRowSelected(row))
    selectRow(row);
}

QItemSelectionModel::SelectionFlags ThrowTable::selectionCommand(const QModelIndex& index,
                                                                 const QEvent* /*event*/) const {
  return row_choice(index);
}

}  // namespace moundwork::desk
