// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/numbers_panel.h"

#include <QHeaderView>
#include <limits>

#include "app/desk/state/words.h"

namespace moundwork::desk {
namespace {

QString text_of(definitions::Quantity quantity, const Measured& measured,
                const Preferences& preferences, double mass) {
  const definitions::Entry& entry = definitions::entry(quantity);
  return quantity_text(std::string(entry.key), std::string(entry.unit), measured, preferences,
                       mass);
}

}  // namespace

NumbersPanel::NumbersPanel(QWidget* parent) : QTableWidget(parent) {
  setColumnCount(3);
  setRowCount(static_cast<int>(definitions::quantity_count));
  setHorizontalHeaderLabels(
      {QStringLiteral("Number"), QStringLiteral("as found"), QStringLiteral("now")});
  setEditTriggers(QAbstractItemView::NoEditTriggers);
  setSelectionBehavior(QAbstractItemView::SelectRows);
  setTabKeyNavigation(false);
  setWordWrap(false);
  verticalHeader()->hide();
  verticalHeader()->setDefaultSectionSize(fontMetrics().height() + 6);
  horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
  horizontalHeader()->setSectionResizeMode(0, QHeaderView::Stretch);
  setAccessibleName(QStringLiteral("Numbers of the throw"));
  for (int row = 0; row < rowCount(); ++row) {
    const definitions::Entry& entry = definitions::entry(static_cast<definitions::Quantity>(row));
    for (int column = 0; column < columnCount(); ++column) {
      auto* cell = new QTableWidgetItem(column == 0 ? plain_name(entry.key) : QString());
      cell->setToolTip(QString::fromUtf8(entry.definition.data(),
                                         static_cast<qsizetype>(entry.definition.size())));
      if (column > 0) cell->setTextAlignment(Qt::AlignRight | Qt::AlignVCenter);
      setItem(row, column, cell);
    }
  }
}

void NumbersPanel::show_throw(const pitch::AnalysedThrow& found, const pitch::AnalysedThrow& now,
                              bool moved, const Preferences& preferences, double mass) {
  // Twice the same number would only take room.
  setColumnHidden(1, !moved);
  for (int row = 0; row < rowCount(); ++row) {
    const auto quantity = static_cast<definitions::Quantity>(row);
    // In body weights there is a row of its own for it.
    setRowHidden(row, shown_quantity(quantity, preferences, mass) != quantity);
    const QString before = text_of(quantity, found.measured(quantity), preferences, mass);
    const QString after = text_of(quantity, now.measured(quantity), preferences, mass);
    item(row, 1)->setText(before);
    item(row, 2)->setText(after);
    QFont font = item(row, 2)->font();
    font.setBold(before != after);
    item(row, 2)->setFont(font);
  }
}

void NumbersPanel::follow(const definitions::QuantityValues& values, const Preferences& preferences,
                          double mass) {
  setColumnHidden(1, false);
  for (int row = 0; row < rowCount(); ++row) {
    const auto quantity = static_cast<definitions::Quantity>(row);
    item(row, 2)->setText(text_of(quantity,
                                  {at(values, quantity), std::numeric_limits<double>::quiet_NaN()},
                                  preferences, mass));
  }
}

void NumbersPanel::show_nothing() {
  for (int row = 0; row < rowCount(); ++row)
    for (int column = 1; column < columnCount(); ++column) item(row, column)->setText({});
}

}  // namespace moundwork::desk
