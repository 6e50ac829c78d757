// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/summary/pdf.h"

#include <QFile>
#include <QPageLayout>
#include <QPageSize>
#include <QPdfWriter>

#include "app/summary/page.h"

namespace moundwork::summary {
namespace {

constexpr int resolution = 1200;  // dots an inch: finer than any printer's half tones
constexpr double dots_a_mm = resolution / 25.4;
constexpr double margin = 13.0;  // mm; printers reach 6 mm

// Opens the file first, so that a full disk or a missing folder is told and not drawn into.
template <class Draw>
Result<void> write(const std::filesystem::path& path, Paper paper, const std::string& title,
                   Draw draw) {
  QFile file(QString::fromStdString(path.string()));
  if (!file.open(QIODevice::WriteOnly))
    return fail(path.string(), "cannot be written: " + file.errorString().toStdString(),
                "check the folder");
  {
    QPdfWriter writer(&file);
    writer.setTitle(QString::fromStdString(title));
    writer.setCreator(QStringLiteral("Moundwork"));
    writer.setResolution(resolution);
    writer.setPageLayout(
        QPageLayout(QPageSize(paper == Paper::a4 ? QPageSize::A4 : QPageSize::Letter),
                    QPageLayout::Portrait, QMarginsF()));
    const QSizeF size = writer.pageLayout().fullRect(QPageLayout::Millimeter).size();
    QPainter painter(&writer);
    if (!painter.isActive())
      return fail(path.string(), "cannot be drawn into", "check the disk's free space");
    Sheet sheet(painter, dots_a_mm);
    draw(writer, sheet,
         Box{margin, margin, size.width() - 2.0 * margin, size.height() - 2.0 * margin});
  }
  if (file.error() != QFileDevice::NoError || !file.flush())
    return fail(path.string(), "could not be written whole: " + file.errorString().toStdString(),
                "check the disk's free space");
  return {};
}

}  // namespace

std::optional<Paper> paper_from(std::string_view name) {
  if (name == "a4") return Paper::a4;
  if (name == "letter") return Paper::letter;
  return std::nullopt;
}

Result<void> write_pdf(const Summary& summary, const std::filesystem::path& path, Paper paper) {
  return write(path, paper, summary.who + ", " + summary.when,
               [&](QPdfWriter&, Sheet& sheet, const Box& box) { draw_page(sheet, summary, box); });
}

Result<void> write_pdf(const Cover& cover, const std::filesystem::path& path, Paper paper) {
  return write(path, paper, cover.title, [&](QPdfWriter& writer, Sheet& sheet, const Box& box) {
    std::size_t row = draw_cover(sheet, cover, box, 0);
    while (row < cover.rows.size()) {
      writer.newPage();
      const std::size_t next = draw_cover(sheet, cover, box, row);
      if (next == row) break;  // a page without room for a row would go on for ever
      row = next;
    }
  });
}

}  // namespace moundwork::summary
