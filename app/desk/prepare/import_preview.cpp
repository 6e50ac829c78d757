// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/import_preview.h"

#include <QComboBox>
#include <QDialogButtonBox>
#include <QGridLayout>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QPushButton>
#include <QScrollArea>
#include <QSignalBlocker>
#include <QTableWidget>
#include <QVBoxLayout>
#include <algorithm>
#include <utility>
#include <vector>

#include "app/desk/look/words_label.h"
#include "app/desk/prepare/roster_columns.h"
#include "core/base/sentence.h"

namespace moundwork::desk {
namespace {

constexpr int first_cells = 2;  // line and what happens come before the athlete's cells

QTableWidget* make_table(QWidget* parent) {
  auto* table = new QTableWidget(0, first_cells + roster_column_count - 1, parent);
  QStringList titles{QStringLiteral("Line"), QStringLiteral("What happens")};
  for (int c = 1; c < roster_column_count; ++c)
    titles << column_title(static_cast<RosterColumn>(c));
  table->setHorizontalHeaderLabels(titles);
  table->setEditTriggers(QAbstractItemView::NoEditTriggers);
  table->setSelectionBehavior(QAbstractItemView::SelectRows);
  table->setTabKeyNavigation(false);
  table->verticalHeader()->hide();
  table->setAccessibleName(QStringLiteral("Lines of the file"));
  // Widths go by the first lines: measuring thousands would hold the window up.
  table->horizontalHeader()->setResizeContentsPrecision(50);
  return table;
}

void fill(QTableWidget& table, const RosterImport& import, const std::string& day) {
  table.clearSpans();
  table.setRowCount(static_cast<int>(import.lines.size()));
  const auto put = [&](int row, int column, const QString& text) {
    auto* item = new QTableWidgetItem(text);
    item->setToolTip(text.toHtmlEscaped());
    table.setItem(row, column, item);
  };
  for (int row = 0; row < table.rowCount(); ++row) {
    const ImportLine& line = import.lines[static_cast<std::size_t>(row)];
    put(row, 0, QString::number(line.line));
    put(row, 1, line.words);
    for (int c = 1; c < roster_column_count; ++c)
      put(row, first_cells + c - 1,
          line.athlete ? cell_text(*line.athlete, static_cast<RosterColumn>(c), day) : QString());
    // The reason is a sentence: it has the rest of the line.
    if (!line.athlete) table.setSpan(row, 1, 1, table.columnCount() - 1);
  }
  table.resizeColumnsToContents();
}

QString title_of(RosterColumn column) { return QString::fromUtf8(entry_of(column).title); }

/// What lists that come in can hold.
std::vector<RosterColumn> list_columns() {
  std::vector<RosterColumn> columns;
  for (int c = 0; c < list_column_count; ++c)
    if (const auto column = static_cast<RosterColumn>(c); !headings_of(column).isEmpty())
      columns.push_back(column);
  return columns;
}

QString known_headings() {
  QStringList lines{QString::fromStdString(
      sentence("Headings that are understood, in capitals or not, with blanks or without:"))};
  for (const RosterColumn column : list_columns())
    lines << QString::fromStdString(
        sentence("{column}: {headings}", "column"_is(title_of(column).toStdString()),
                 "headings"_is(headings_of(column).join(QStringLiteral(", ")).toStdString())));
  return lines.join(u'\n');
}

}  // namespace

ImportPreview::ImportPreview(RosterImport import, const QString& file, const std::string& day,
                             Read read, QWidget* parent)
    : QDialog(parent),
      import_(std::move(import)),
      day_(day),
      read_(std::move(read)),
      said_(new WordsLabel(this)),
      order_row_(new QWidget(this)),
      order_(new QComboBox(order_row_)),
      table_(make_table(this)) {
  setWindowTitle(QStringLiteral("Athletes from ") + file);
  auto* column = new QVBoxLayout(this);
  column->addWidget(make_mapping());
  auto* order_line = new QHBoxLayout(order_row_);
  order_line->setContentsMargins(0, 0, 0, 0);
  auto* asked = new WordsLabel(QStringLiteral("Da&ys such as 7/8/2003 are"), order_row_);
  asked->setBuddy(order_);
  order_->addItem(QStringLiteral("not settled: choose"), static_cast<int>(DayOrder::unsettled));
  order_->addItem(QStringLiteral("month first (8 July)"), static_cast<int>(DayOrder::month_first));
  order_->addItem(QStringLiteral("day first (7 August)"), static_cast<int>(DayOrder::day_first));
  order_line->addWidget(asked);
  order_line->addWidget(order_);
  order_line->addStretch(1);
  column->addWidget(order_row_);
  said_->setWordWrap(true);
  column->addWidget(said_);
  column->addWidget(table_, 1);
  auto* headings = new WordsLabel(known_headings(), this);
  headings->setWordWrap(true);
  headings->setProperty("secondary", true);
  headings->hide();
  column->addWidget(headings);
  auto* buttons = new QDialogButtonBox(this);
  take_ = buttons->addButton(QString(), QDialogButtonBox::AcceptRole);
  buttons->addButton(QStringLiteral("&Leave it"), QDialogButtonBox::RejectRole);
  auto* known = buttons->addButton(QStringLiteral("&Known headings"), QDialogButtonBox::HelpRole);
  known->setCheckable(true);
  connect(known, &QPushButton::toggled, headings, &QLabel::setVisible);
  connect(buttons, &QDialogButtonBox::accepted, this, &QDialog::accept);
  connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
  column->addWidget(buttons);
  connect(order_, &QComboBox::currentIndexChanged, this, &ImportPreview::read_again);
  show_import();
  resize(980, 520);
}

// One small column for each of the file's: its heading, what it holds, in which unit.
QWidget* ImportPreview::make_mapping() {
  auto* inside = new QWidget(this);
  auto* grid = new QGridLayout(inside);
  grid->setContentsMargins(0, 0, 0, 0);
  for (std::size_t c = 0; c < import_.columns.size(); ++c) {
    const ImportColumn& read = import_.columns[c];
    const int at = static_cast<int>(c);
    auto* heading = new WordsLabel(read.heading, inside);
    Mapping mapping{new QComboBox(inside), new QComboBox(inside)};
    mapping.field->setAccessibleName(QStringLiteral("What '%1' holds").arg(read.heading));
    mapping.unit->setAccessibleName(QStringLiteral("Unit of '%1'").arg(read.heading));
    mapping.field->addItem(QStringLiteral("not used"), -1);
    for (const RosterColumn column : list_columns())
      mapping.field->addItem(title_of(column), static_cast<int>(column));
    mapping.field->setCurrentIndex(
        mapping.field->findData(read.field ? static_cast<int>(*read.field) : -1));
    show_units(mapping);
    if (!read.unit.isEmpty()) mapping.unit->setCurrentText(read.unit);
    grid->addWidget(heading, 0, at);
    grid->addWidget(mapping.field, 1, at);
    grid->addWidget(mapping.unit, 2, at);
    connect(mapping.field, &QComboBox::currentIndexChanged, this, [this, mapping] {
      show_units(mapping);
      read_again();
    });
    connect(mapping.unit, &QComboBox::currentIndexChanged, this, &ImportPreview::read_again);
    mappings_.push_back(mapping);
  }
  auto* area = new QScrollArea(this);
  area->setWidget(inside);
  area->setWidgetResizable(true);
  area->setFrameShape(QFrame::NoFrame);
  area->setVerticalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
  constexpr int room_for_bar = 20;
  area->setFixedHeight(inside->sizeHint().height() + room_for_bar);
  return area;
}

void ImportPreview::show_units(const Mapping& mapping) {
  const QSignalBlocker quiet(mapping.unit);
  const QString before = mapping.unit->currentText();
  mapping.unit->clear();
  const int field = mapping.field->currentData().toInt();
  if (field >= 0) {
    const QStringList units = units_of(static_cast<RosterColumn>(field));
    if (!units.isEmpty()) mapping.unit->addItem(QStringLiteral("as in each cell"));
    mapping.unit->addItems(units);
  }
  mapping.unit->setVisible(mapping.unit->count() > 0);
  mapping.unit->setCurrentIndex(std::max(0, mapping.unit->findText(before)));
}

void ImportPreview::read_again() {
  ImportChoices choices;
  for (std::size_t c = 0; c < mappings_.size(); ++c) {
    ImportColumn column{import_.columns[c].heading, std::nullopt, QString()};
    const int field = mappings_[c].field->currentData().toInt();
    if (field >= 0) column.field = static_cast<RosterColumn>(field);
    if (mappings_[c].unit->currentIndex() > 0) column.unit = mappings_[c].unit->currentText();
    choices.columns.push_back(std::move(column));
  }
  choices.order = static_cast<DayOrder>(order_->currentData().toInt());
  auto read = read_(choices);
  if (!read) {
    said_->setText(QString::fromStdString(read.error().sentence()));
    return take_->setEnabled(false);
  }
  import_ = std::move(*read);
  show_import();
}

void ImportPreview::show_import() {
  const int coming = import_.coming();
  QStringList lines{
      QString::fromStdString(sentence_for(coming,
                                          "{coming} of {lines} lines comes in. Athletes who are "
                                          "there already keep what the file leaves empty.",
                                          "{coming} of {lines} lines come in. Athletes who are "
                                          "there already keep what the file leaves empty.",
                                          "coming"_is(coming), "lines"_is(import_.lines.size())))};
  if (import_.refused() > 0)
    lines << QString::fromStdString(sentence_for(
        import_.refused(), "{count} line is refused: the reason is below.",
        "{count} lines are refused: the reasons are below.", "count"_is(import_.refused())));
  if (const QStringList ignored = import_.ignored(); !ignored.isEmpty())
    lines << QString::fromStdString(
        sentence("Columns not used: {columns}.",
                 "columns"_is(ignored.join(QStringLiteral(", ")).toStdString())));
  said_->setText(import_.problem.isEmpty() ? lines.join(u'\n') : import_.problem);
  // Shown where one day of the file does not settle it, and once it was asked.
  const bool chosen = order_->currentIndex() > 0;
  order_row_->setVisible(chosen || (import_.has_slashes && import_.order == DayOrder::unsettled));
  fill(*table_, import_, day_);
  take_->setText(QString::fromStdString(sentence_for(
      coming, "&Take in {count} athlete", "&Take in {count} athletes", "count"_is(coming))));
  take_->setEnabled(coming > 0);
}

}  // namespace moundwork::desk
