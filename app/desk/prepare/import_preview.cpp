// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/import_preview.h"

#include <QDialogButtonBox>
#include <QHeaderView>
#include <QLabel>
#include <QPushButton>
#include <QTableWidget>
#include <QVBoxLayout>

#include "app/desk/look/words_label.h"
#include "app/desk/prepare/roster_columns.h"

namespace moundwork::desk {
namespace {

constexpr int first_cells = 2;  // line and what happens come before the athlete's cells

QTableWidget* table_of(const RosterImport& import, const std::string& day, QWidget* parent) {
  auto* table = new QTableWidget(static_cast<int>(import.lines.size()),
                                 first_cells + roster_column_count - 1, parent);
  QStringList titles{QStringLiteral("Line"), QStringLiteral("What happens")};
  for (int c = 1; c < roster_column_count; ++c)
    titles << column_title(static_cast<RosterColumn>(c));
  table->setHorizontalHeaderLabels(titles);
  table->setEditTriggers(QAbstractItemView::NoEditTriggers);
  table->setSelectionBehavior(QAbstractItemView::SelectRows);
  table->setTabKeyNavigation(false);
  table->verticalHeader()->hide();
  table->setAccessibleName(QStringLiteral("Lines of the file"));
  const auto put = [&](int row, int column, const QString& text) {
    auto* item = new QTableWidgetItem(text);
    item->setToolTip(text);
    table->setItem(row, column, item);
  };
  for (int row = 0; row < table->rowCount(); ++row) {
    const ImportLine& line = import.lines[static_cast<std::size_t>(row)];
    put(row, 0, QString::number(line.line));
    put(row, 1, line.words);
    if (!line.athlete) {
      // The reason is a sentence: it has the rest of the line.
      table->setSpan(row, 1, 1, table->columnCount() - 1);
      continue;
    }
    for (int c = 1; c < roster_column_count; ++c)
      put(row, first_cells + c - 1, cell_text(*line.athlete, static_cast<RosterColumn>(c), day));
  }
  // Widths go by the first lines: measuring thousands would hold the window up.
  table->horizontalHeader()->setResizeContentsPrecision(50);
  table->resizeColumnsToContents();
  return table;
}

}  // namespace

ImportPreview::ImportPreview(const RosterImport& import, const QString& file,
                             const std::string& day, QWidget* parent)
    : QDialog(parent) {
  setWindowTitle(QStringLiteral("Athletes from ") + file);
  auto* column = new QVBoxLayout(this);
  QString words =
      QStringLiteral("%1 of %2 lines come in.").arg(import.coming()).arg(import.lines.size());
  if (import.refused() > 0)
    words += QStringLiteral(" %1 refused: the reasons are below.").arg(import.refused());
  words += QStringLiteral(" Athletes who are there already keep what the file leaves empty.");
  if (!import.ignored.isEmpty())
    words += QStringLiteral("\nColumns not used: ") + import.ignored.join(QStringLiteral(", "));
  auto* said = new WordsLabel(words, this);
  said->setWordWrap(true);
  column->addWidget(said);
  column->addWidget(table_of(import, day, this), 1);
  auto* buttons = new QDialogButtonBox(this);
  QPushButton* take = buttons->addButton(
      import.coming() == 1 ? QStringLiteral("&Take in 1 athlete")
                           : QStringLiteral("&Take in %1 athletes").arg(import.coming()),
      QDialogButtonBox::AcceptRole);
  take->setEnabled(import.coming() > 0);
  buttons->addButton(QStringLiteral("&Leave it"), QDialogButtonBox::RejectRole);
  connect(buttons, &QDialogButtonBox::accepted, this, &QDialog::accept);
  connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
  column->addWidget(buttons);
  resize(980, 460);
}

}  // namespace moundwork::desk
