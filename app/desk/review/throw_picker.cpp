// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/throw_picker.h"

#include <QHeaderView>
#include <QScopedValueRollback>
#include <string_view>

#include "app/desk/look/row_choice.h"
#include "app/desk/state/words.h"
#include "core/session/edit_state.h"
#include "core/session/flagged.h"

namespace moundwork::desk {
namespace {

constexpr std::string_view moved_key = "moved_by_hand";

QString remark_of(const session::ResultThrow& thrown, const session::EditState& edits) {
  QStringList words;
  if (edits.excluded) words << QStringLiteral("excluded");
  bool moved = !edits.moved.empty();
  for (const session::ResultFlag& flag : session::in_reading_order(thrown.flags)) {
    // What was taken back since is not said any more, and what was moved since is.
    if (flag.key == moved_key && !moved) continue;
    if (flag.key == moved_key) moved = false;
    const QString said = plain_name(flag.key).toLower();
    if (!words.contains(said)) words << said;
  }
  if (moved) words << plain_name(moved_key).toLower();
  return words.join(QStringLiteral("; "));
}

QString all_flags(const session::ResultThrow& thrown, const session::EditState& edits) {
  QStringList lines;
  if (edits.excluded)
    lines << QStringLiteral("excluded: ") + QString::fromStdString(edits.excluded->why);
  for (const session::ResultFlag& flag : session::in_reading_order(thrown.flags))
    lines << QString::fromStdString(flag.detail);
  return lines.join(u'\n');
}

}  // namespace

ThrowPicker::ThrowPicker(DeskState& state, QWidget* parent) : QTableWidget(parent), state_(state) {
  setColumnCount(4);
  setEditTriggers(QAbstractItemView::NoEditTriggers);
  setSelectionBehavior(QAbstractItemView::SelectRows);
  setSelectionMode(QAbstractItemView::SingleSelection);
  setTabKeyNavigation(false);
  setWordWrap(false);
  verticalHeader()->hide();
  verticalHeader()->setDefaultSectionSize(fontMetrics().height() + 6);
  horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
  horizontalHeader()->setSectionResizeMode(3, QHeaderView::Stretch);
  setAccessibleName(QStringLiteral("Throws of the session; space lays one over the shown one"));
  connect(&state_, &DeskState::session_changed, this, &ThrowPicker::fill);
  connect(&state_, &DeskState::results_changed, this, &ThrowPicker::fill);
  connect(&state_, &DeskState::edits_changed, this, &ThrowPicker::fill);
  connect(&state_, &DeskState::preferences_changed, this, &ThrowPicker::fill);
  connect(&state_, &DeskState::shown_throw_changed, this, &ThrowPicker::follow_shown);
  connect(this, &QTableWidget::currentCellChanged, this, [this](int row) {
    if (!filling_ && row >= 0) state_.show_throw(item(row, 0)->data(Qt::UserRole).toInt());
  });
  connect(this, &QTableWidget::itemChanged, this, [this] {
    if (!filling_) Q_EMIT overlay_changed();
  });
  fill();
}

std::vector<int> ThrowPicker::overlaid() const {
  std::vector<int> numbers;
  for (int row = 0; row < rowCount(); ++row) {
    const int number = item(row, 0)->data(Qt::UserRole).toInt();
    if (item(row, 0)->checkState() == Qt::Checked && number != state_.shown_throw())
      numbers.push_back(number);
  }
  return numbers;
}

void ThrowPicker::fill() {
  const QScopedValueRollback guard(filling_, true);
  const std::vector<int> ticked = overlaid();
  const SpeedUnit unit = state_.preferences().speed;
  setHorizontalHeaderLabels({QStringLiteral("Throw"), QStringLiteral("at"), unit_text(unit), {}});
  setRowCount(0);
  if (state_.session() == nullptr) return;
  const auto& edits = state_.session()->edits();
  for (const session::ResultThrow& thrown : state_.session()->results().throws) {
    const int row = rowCount();
    insertRow(row);
    const auto edited = session::state_of(edits, seconds(thrown.contact));
    auto* number = new QTableWidgetItem(QString::number(thrown.number));
    number->setData(Qt::UserRole, thrown.number);
    number->setFlags(number->flags() | Qt::ItemIsUserCheckable);
    const bool was = std::find(ticked.begin(), ticked.end(), thrown.number) != ticked.end();
    number->setCheckState(was ? Qt::Checked : Qt::Unchecked);
    setItem(row, 0, number);
    const int at = static_cast<int>(seconds(thrown.contact));
    setItem(row, 1,
            new QTableWidgetItem(
                QStringLiteral("%1:%2").arg(at / 60).arg(at % 60, 2, 10, QLatin1Char('0'))));
    QString speed = QStringLiteral("–");
    for (const session::ResultValue& value : thrown.quantities)
      if (value.key == "ball_speed" && value.measured.known())
        speed = QString::number(in_unit(value.measured.value, unit), 'f', 1);
    setItem(row, 2, new QTableWidgetItem(speed));
    setItem(row, 3, new QTableWidgetItem(remark_of(thrown, edited)));
    const QString tip = all_flags(thrown, edited);
    for (int column = 0; column < columnCount(); ++column) {
      item(row, column)->setToolTip(tip);
      if (edited.excluded) {
        QFont struck = item(row, column)->font();
        struck.setStrikeOut(column < 3);
        item(row, column)->setFont(struck);
      }
    }
  }
  follow_shown();
}

QItemSelectionModel::SelectionFlags ThrowPicker::selectionCommand(const QModelIndex& index,
                                                                  const QEvent* /*event*/) const {
  return row_choice(index);
}

void ThrowPicker::follow_shown() {
  const QScopedValueRollback guard(filling_, true);
  for (int row = 0; row < rowCount(); ++row)
    if (item(row, 0)->data(Qt::UserRole).toInt() == state_.shown_throw()) setCurrentCell(row, 0);
}

}  // namespace moundwork::desk
