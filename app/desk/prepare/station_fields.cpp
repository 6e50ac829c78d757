// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/station_fields.h"

#include <QComboBox>
#include <QDoubleSpinBox>
#include <QGridLayout>
#include <QLabel>
#include <QLineEdit>
#include <QSignalBlocker>
#include <QWheelEvent>
#include <algorithm>

#include "app/desk/look/words_label.h"

namespace moundwork::desk {
namespace {

/// Measures change by typing and arrow keys only: a wheel that scrolls past must not move a plate.
class MeasureField : public QDoubleSpinBox {
 public:
  using QDoubleSpinBox::QDoubleSpinBox;

 protected:
  void wheelEvent(QWheelEvent* event) override { event->ignore(); }
};

/// Whether the instrument has such a measure at all.
bool applies(FormColumn column, FormRow row) {
  if (column != FormColumn::radar) return true;
  return row != FormRow::length && row != FormRow::width && row != FormRow::fall &&
         row != FormRow::turn && row != FormRow::rate;
}

}  // namespace

StationFields::StationFields(QWidget* parent) : QWidget(parent) {
  auto* grid = new QGridLayout(this);
  grid->setContentsMargins(6, 6, 6, 6);
  grid->setVerticalSpacing(3);
  for (int c = 0; c < form_column_count; ++c) {
    const auto column = static_cast<FormColumn>(c);
    auto* heading = new WordsLabel(words_of(column), this);
    QFont strong = heading->font();
    strong.setBold(true);
    heading->setFont(strong);
    grid->addWidget(heading, 0, c + 1);
    auto* plates = new QComboBox(this);
    plates->setFont(strong);
    plates->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
    plates->setMinimumContentsLength(8);
    plates->setAccessibleName(words_of(column) + QStringLiteral(", which"));
    plates->setToolTip(QStringLiteral("Which of the plates under this foot the column shows"));
    grid->addWidget(plates, 0, c + 1);
    connect(plates, &QComboBox::activated, this, &StationFields::plate_chosen);
    plates->hide();
    headings_[static_cast<std::size_t>(c)] = heading;
    plates_[static_cast<std::size_t>(c)] = plates;
    grid->setColumnStretch(c + 1, 1);
  }
  // Down a column, then the next: an instrument is measured at one go.
  for (int c = 0; c < form_column_count; ++c) {
    const auto column = static_cast<FormColumn>(c);
    for (int r = 0; r < form_row_count; ++r) {
      const auto row = static_cast<FormRow>(r);
      const FormRowWords words = words_of(row);
      if (c == 0) {
        auto* title = new WordsLabel(words.title + QStringLiteral(" (") + words.unit + u')', this);
        title->setToolTip(words.help);
        grid->addWidget(title, r + 1, 0);
      }
      if (!applies(column, row)) continue;
      auto* field = new MeasureField(this);
      field->setDecimals(words.digits);
      field->setRange(words.least, words.most);
      field->setSingleStep(words.step);
      field->setKeyboardTracking(false);
      field->setToolTip(words.help);
      field->setAccessibleName(words_of(column) + QStringLiteral(", ") + words.title +
                               QStringLiteral(", ") + words.unit);
      // Narrow enough for three columns beside the drawing on a small screen.
      field->setMinimumWidth(fontMetrics().horizontalAdvance(QStringLiteral("-00.000")) + 34);
      grid->addWidget(field, r + 1, c + 1);
      connect(field, &QDoubleSpinBox::valueChanged, this, [this, column, row](double value) {
        Q_EMIT number_typed(column, row, value, chosen(column));
      });
      numbers_[static_cast<std::size_t>(c)][static_cast<std::size_t>(r)] = field;
    }
    if (c == 0)
      grid->addWidget(new WordsLabel(QStringLiteral("Port"), this), form_row_count + 1, 0);
    auto* port = new QComboBox(this);
    port->setEditable(true);
    port->setInsertPolicy(QComboBox::NoInsert);
    port->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
    port->setMinimumContentsLength(8);
    port->setAccessibleName(words_of(column) + QStringLiteral(", port"));
    port->setToolTip(
        QStringLiteral("A serial port found here, USB 0403:6001 with the adapter's serial number, "
                       "host:port of the network, or stream and a path"));
    grid->addWidget(port, form_row_count + 1, c + 1);
    const auto typed = [this, column, port] {
      Q_EMIT port_typed(column, port->currentText(), chosen(column));
    };
    connect(port, &QComboBox::activated, this, typed);
    connect(port->lineEdit(), &QLineEdit::editingFinished, this, typed);
    ports_[static_cast<std::size_t>(c)] = port;
  }
  grid->setRowStretch(form_row_count + 2, 1);
  show_station(nullptr);
}

int StationFields::chosen(FormColumn column) const {
  return std::max(0, plates_[static_cast<std::size_t>(column)]->currentIndex());
}

void StationFields::name_plates(const drivers::Station& station, FormColumn column) {
  QStringList names = form_plates(station, column);
  for (QString& name : names) name[0] = name[0].toUpper();
  QComboBox* plates = plates_[static_cast<std::size_t>(column)];
  const bool several = names.size() > 1;
  plates->setVisible(several);
  headings_[static_cast<std::size_t>(column)]->setVisible(!several);
  const int before = chosen(column);
  const QSignalBlocker quiet(plates);
  plates->clear();
  plates->addItems(names);
  if (!names.isEmpty())
    plates->setCurrentIndex(std::min(before, static_cast<int>(names.size()) - 1));
}

void StationFields::show_station(const drivers::Station* station) {
  for (int c = 0; c < form_column_count; ++c) {
    const auto column = static_cast<FormColumn>(c);
    // A text that cannot be read at the moment names no plates, and the choice stays.
    if (station != nullptr) name_plates(*station, column);
    show_column(station, column);
  }
}

void StationFields::show_column(const drivers::Station* station, FormColumn column) {
  const auto c = static_cast<std::size_t>(column);
  for (int r = 0; r < form_row_count; ++r) {
    QDoubleSpinBox* field = numbers_[c][static_cast<std::size_t>(r)];
    if (field == nullptr) continue;
    const auto number =
        station == nullptr ? std::nullopt
                           : form_number(*station, column, static_cast<FormRow>(r), chosen(column));
    const QSignalBlocker quiet(field);
    field->setEnabled(number.has_value());
    // An empty field says that there is nothing; a number would say that there is.
    if (number)
      field->setValue(*number);
    else
      field->clear();
  }
  QComboBox* port = ports_[c];
  const auto line = station == nullptr ? std::nullopt : form_port(*station, column, chosen(column));
  const QSignalBlocker quiet(port);
  port->setEnabled(line.has_value());
  port->setEditText(QString::fromStdString(line.value_or("")));
  port->lineEdit()->setCursorPosition(0);
}

void StationFields::offer_ports(const QStringList& ports) {
  for (QComboBox* port : ports_) {
    const QSignalBlocker quiet(port);
    const QString text = port->currentText();
    port->clear();
    port->addItems(ports);
    port->setEditText(text);
    port->lineEdit()->setCursorPosition(0);
  }
}

}  // namespace moundwork::desk
