// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/edit_list.h"

#include <QHeaderView>
#include <QLabel>
#include <QTableWidget>
#include <QVBoxLayout>
#include <algorithm>
#include <cmath>
#include <iterator>

#include "app/desk/look/words_label.h"

namespace moundwork::desk {
namespace {

/// Number of the throw that an edit is about; 0 when this analysis has none at that contact.
int throw_of(const session::ResultSet& results, double contact) {
  // Throws are seconds apart; an analysis moves a contact by milliseconds.
  constexpr double near = 0.5;
  int number = 0;
  double best = near;
  for (const session::ResultThrow& thrown : results.throws)
    if (const double apart = std::abs(seconds(thrown.contact) - contact); apart < best) {
      best = apart;
      number = thrown.number;
    }
  return number;
}

QTableWidgetItem* cell(const QString& text) {
  auto* item = new QTableWidgetItem(text);
  item->setToolTip(text);
  return item;
}

}  // namespace

QString edit_words(const session::Edit& edit) {
  const QString target = QString::fromStdString(edit.target).replace(u'_', u' ');
  const QString text = QString::fromStdString(edit.text);
  if (edit.action == "move_event")
    return QStringLiteral("moved %1 to %2 s").arg(target).arg(edit.value, 0, 'f', 4);
  if (edit.action == "exclude") return QStringLiteral("excluded");
  if (edit.action == "include") return QStringLiteral("included again");
  if (edit.action == "tag") return QStringLiteral("tagged %1: %2").arg(target, text);
  if (edit.action == "mark") return QStringLiteral("marked %1 at %2").arg(target, text);
  if (edit.action == "undo") return QStringLiteral("took back change %1").arg(edit.value + 1.0);
  if (edit.action == "reset") return QStringLiteral("reset to what was found");
  return QStringLiteral("%1 %2 %3").arg(QString::fromStdString(edit.action), target, text);
}

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
                                     QStringLiteral("Who"), QStringLiteral("When (UTC)")});
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
    const int number = throw_of(session->results(), edit->throw_contact);
    table_->setItem(row, 1, cell(number > 0 ? QString::number(number) : QStringLiteral("-")));
    table_->setItem(row, 2, cell(edit_words(*edit)));
    table_->setItem(row, 3, cell(QString::fromStdString(edit->why)));
    table_->setItem(row, 4, cell(QString::fromStdString(edit->who)));
    table_->setItem(row, 5, cell(QString::fromStdString(edit->when).left(19).replace(u'T', u' ')));
  }
}

}  // namespace moundwork::desk
