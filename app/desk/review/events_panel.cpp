// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/events_panel.h"

#include <QDoubleSpinBox>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QPushButton>
#include <QScopedValueRollback>
#include <cmath>

#include "app/desk/look/words_label.h"
#include "app/desk/review/event_words.h"

namespace moundwork::desk {

EventsPanel::EventsPanel(QWidget* parent)
    : QWidget(parent), table_(new QTableWidget(this)), field_(new QDoubleSpinBox(this)) {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(0, 0, 0, 0);
  column->addWidget(table_);
  table_->setColumnCount(3);
  table_->setRowCount(static_cast<int>(definitions::event_count));
  table_->setHorizontalHeaderLabels(
      {QStringLiteral("Event"), QStringLiteral("as found"), QStringLiteral("now")});
  table_->setEditTriggers(QAbstractItemView::NoEditTriggers);
  table_->setSelectionBehavior(QAbstractItemView::SelectRows);
  table_->setSelectionMode(QAbstractItemView::SingleSelection);
  table_->setTabKeyNavigation(false);
  table_->verticalHeader()->hide();
  table_->verticalHeader()->setDefaultSectionSize(table_->fontMetrics().height() + 6);
  table_->horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
  table_->horizontalHeader()->setSectionResizeMode(0, QHeaderView::Stretch);
  table_->setAccessibleName(QStringLiteral("Events, from lead contact"));
  for (int row = 0; row < table_->rowCount(); ++row) {
    const auto event = static_cast<definitions::Event>(row);
    for (int i = 0; i < 3; ++i) {
      auto* cell = new QTableWidgetItem(i == 0 ? event_label(event) : QString());
      const std::string_view definition = definitions::entry(event).definition;
      cell->setToolTip(
          QString::fromUtf8(definition.data(), static_cast<qsizetype>(definition.size())));
      if (i > 0) cell->setTextAlignment(Qt::AlignRight | Qt::AlignVCenter);
      table_->setItem(row, i, cell);
    }
  }
  const int height = table_->horizontalHeader()->sizeHint().height() +
                     table_->rowCount() * table_->verticalHeader()->defaultSectionSize() + 4;
  table_->setFixedHeight(height);

  auto* line = new QHBoxLayout;
  auto* label = new WordsLabel(QStringLiteral("M&ove the chosen event to"), this);
  label->setBuddy(field_);
  field_->setRange(-10000.0, 10000.0);
  field_->setDecimals(1);
  field_->setSingleStep(0.5);
  field_->setSuffix(QStringLiteral(" ms"));
  field_->setKeyboardTracking(false);
  field_->setEnabled(false);
  auto* put = new QPushButton(QStringLiteral("Move"), this);
  line->addWidget(label);
  line->addWidget(field_, 1);
  line->addWidget(put);
  column->addLayout(line);

  connect(table_, &QTableWidget::currentCellChanged, this, [this](int row) {
    if (filling_ || row < 0) return;
    chosen_ = static_cast<definitions::Event>(row);
    show_in_field();
    Q_EMIT event_chosen(row);
  });
  const auto place = [this] {
    if (!chosen_ || !field_->isEnabled()) return;
    Q_EMIT event_placed(static_cast<int>(*chosen_),
                        at(now_, definitions::Event::lead_contact) + field_->value() / 1e3);
  };
  connect(put, &QPushButton::clicked, this, place);
  show_nothing();
}

void EventsPanel::show_throw(const pitch::AnalysedThrow& found, const pitch::AnalysedThrow& now,
                             bool moved) {
  table_->setColumnHidden(1, !moved);
  now_ = now.events;
  const double found_contact = at(found.events, definitions::Event::lead_contact);
  const double contact = at(now.events, definitions::Event::lead_contact);
  for (int row = 0; row < table_->rowCount(); ++row) {
    const auto event = static_cast<definitions::Event>(row);
    // A moved contact is told against where it was found; all else against contact as it stands.
    const double origin = event == definitions::Event::lead_contact ? found_contact : contact;
    const Measured before = found.measured(event), after = now.measured(event);
    table_->item(row, 1)->setText(from_contact_text(before.value - found_contact, before.u));
    table_->item(row, 2)->setText(from_contact_text(after.value - origin, after.u));
    QFont font = table_->item(row, 2)->font();
    font.setBold(std::abs(before.value - after.value) > 1e-9);
    table_->item(row, 2)->setFont(font);
  }
  show_in_field();
}

void EventsPanel::show_nothing() {
  now_.fill(std::nan(""));
  for (int row = 0; row < table_->rowCount(); ++row)
    for (int i = 1; i < 3; ++i) table_->item(row, i)->setText({});
  show_in_field();
}

void EventsPanel::choose(std::optional<definitions::Event> event) {
  const QScopedValueRollback guard(filling_, true);
  chosen_ = event;
  if (event)
    table_->setCurrentCell(static_cast<int>(*event), 0);
  else
    table_->clearSelection();
  show_in_field();
}

void EventsPanel::show_in_field() {
  const double contact = at(now_, definitions::Event::lead_contact);
  field_->setEnabled(chosen_.has_value() && std::isfinite(contact));
  if (!field_->isEnabled()) return;
  const double time = at(now_, *chosen_);
  field_->setValue(std::isfinite(time) ? 1e3 * (time - contact) : 0.0);
}

}  // namespace moundwork::desk
