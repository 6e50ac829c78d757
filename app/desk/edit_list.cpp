// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/edit_list.h"

#include <QHeaderView>
#include <QTableWidget>
#include <QVBoxLayout>
#include <iterator>

#include "app/desk/look/words_label.h"
#include "core/session/edit.h"
#include "core/session/start.h"

namespace moundwork::desk {
namespace {

/// Number of the throw that an edit is about; 0 when this analysis has none at that contact.
int throw_of(const session::ResultSet& results, const session::Edit& edit) {
  for (const session::ResultThrow& thrown : results.throws)
    if (session::is_about(edit, seconds(thrown.contact))) return thrown.number;
  return 0;
}

QTableWidgetItem* cell(const QString& text) {
  auto* item = new QTableWidgetItem(text);
  item->setToolTip(text);
  return item;
}

}  // namespace

EditList::EditList(DeskState& state, QWidget* parent)
    : QWidget(parent),
      state_(state),
      heading_(new WordsLabel(this)),
      table_(new QTableWidget(this)) {
  setMinimumWidth(320);  // narrower, the words of a change are cut
  auto* column = new QVBoxLayout(this);
  column->addWidget(heading_);
  column->addWidget(table_, 1);
  heading_->setWordWrap(true);
  table_->setColumnCount(6);
  table_->setHorizontalHeaderLabels({QStringLiteral("No."), QStringLiteral("Throw"),
                                     QStringLiteral("Change"), QStringLiteral("Why"),
                                     QStringLiteral("Who"), QStringLiteral("When")});
  table_->setEditTriggers(QAbstractItemView::NoEditTriggers);
  table_->setSelectionBehavior(QAbstractItemView::SelectRows);
  table_->verticalHeader()->hide();
  table_->horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
  table_->horizontalHeader()->setSectionResizeMode(2, QHeaderView::Stretch);
  table_->setAccessibleName(QStringLiteral("Edits of this session"));
  connect(&state_, &DeskState::session_changed, this, &EditList::fill);
  connect(&state_, &DeskState::results_changed, this, &EditList::fill);
  connect(&state_, &DeskState::edits_changed, this, &EditList::fill);
  fill();
}

void EditList::fill() {
  const OpenSession* session = state_.session();
  table_->setRowCount(0);
  if (session == nullptr) {
    heading_->setText(QStringLiteral("No session is open."));
    return;
  }
  heading_->setText(
      session->edits().empty()
          ? QStringLiteral("Nobody has changed anything in this session.")
          : QStringLiteral("What people changed, newest first. The recording itself is never "
                           "changed."));
  for (auto edit = session->edits().rbegin(); edit != session->edits().rend(); ++edit) {
    const int row = table_->rowCount();
    table_->insertRow(row);
    table_->setItem(row, 0, cell(QString::number(std::distance(edit, session->edits().rend()))));
    const int number = throw_of(session->results(), *edit);
    table_->setItem(row, 1, cell(number > 0 ? QString::number(number) : QStringLiteral("-")));
    table_->setItem(row, 2,
                    cell(QString::fromStdString(session::words_of(*edit, session->edits()))));
    table_->setItem(row, 3, cell(QString::fromStdString(edit->why)));
    table_->setItem(row, 4, cell(QString::fromStdString(edit->who)));
    table_->setItem(
        row, 5,
        cell(QString::fromStdString(session::local_text(edit->when, session->session().zone))
                 .replace(u'T', u' ')));
  }
}

}  // namespace moundwork::desk
