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
      undo_words_(new WordsLabel(this)),
      table_(new QTableWidget(this)) {
  // Words are wrapped, so that a page beside keeps its room.
  constexpr int least_width = 208;
  setMinimumWidth(least_width);
  auto* column = new QVBoxLayout(this);
  column->addWidget(heading_);
  column->addWidget(undo_words_);
  column->addWidget(table_, 1);
  heading_->setWordWrap(true);
  undo_words_->setWordWrap(true);
  undo_words_->setProperty("secondary", true);
  undo_words_->hide();
  table_->setColumnCount(4);
  table_->setHorizontalHeaderLabels({QStringLiteral("No."), QStringLiteral("Throw"),
                                     QStringLiteral("Change"), QStringLiteral("Who, when")});
  table_->setEditTriggers(QAbstractItemView::NoEditTriggers);
  table_->setSelectionBehavior(QAbstractItemView::SelectRows);
  table_->setWordWrap(true);
  table_->verticalHeader()->hide();
  table_->verticalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
  table_->horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
  table_->horizontalHeader()->setSectionResizeMode(2, QHeaderView::Stretch);
  table_->setAccessibleName(QStringLiteral("Edits of this session"));
  connect(&state_, &DeskState::session_changed, this, &EditList::fill);
  connect(&state_, &DeskState::results_changed, this, &EditList::fill);
  connect(&state_, &DeskState::edits_changed, this, &EditList::fill);
  fill();
}

void EditList::say_undo(const QString& words) {
  undo_words_->setText(words);
  undo_words_->setVisible(!words.isEmpty());
}

void EditList::showEvent(QShowEvent* event) {
  QWidget::showEvent(event);
  Q_EMIT shown_or_hidden();
}

void EditList::hideEvent(QHideEvent* event) {
  QWidget::hideEvent(event);
  Q_EMIT shown_or_hidden();
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
    // The reason under the change, the time under the name: each keeps its whole words so.
    const auto lines = [](const std::string& first, const QString& second) {
      const QString words = QString::fromStdString(first);
      return cell(second.isEmpty() || words.isEmpty() ? words + second : words + u'\n' + second);
    };
    table_->setItem(
        row, 2,
        lines(session::words_of(*edit, session->edits()), QString::fromStdString(edit->why)));
    table_->setItem(row, 3,
                    lines(edit->who, QString::fromStdString(
                                         session::local_text(edit->when, session->session().zone))
                                         .replace(u'T', u' ')));
  }
}

}  // namespace moundwork::desk
