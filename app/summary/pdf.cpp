// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/summary/pdf.h"

#include <QBuffer>
#include <QPageLayout>
#include <QPageSize>
#include <QPdfWriter>
#include <stdexcept>

#include "app/summary/page.h"
#include "core/base/write_file.h"

namespace moundwork::summary {
namespace {

constexpr int resolution = 1200;  // dots an inch: finer than any printer's half tones
constexpr double dots_a_mm = resolution / 25.4;
constexpr double margin = 13.0;  // mm; printers reach 6 mm

// Drawn into memory: what Qt says of a full disk while it draws has no reason in it.
template <class Draw>
Result<void> write(const std::filesystem::path& path, Paper paper, const std::string& title,
                   Draw draw) {
  QBuffer bytes;
  bytes.open(QIODevice::WriteOnly);
  {
    QPdfWriter writer(&bytes);
    writer.setTitle(QString::fromStdString(title));
    writer.setCreator(QStringLiteral("Moundwork"));
    writer.setResolution(resolution);
    writer.setPageLayout(
        QPageLayout(QPageSize(paper == Paper::a4 ? QPageSize::A4 : QPageSize::Letter),
                    QPageLayout::Portrait, QMarginsF()));
    const QSizeF size = writer.pageLayout().fullRect(QPageLayout::Millimeter).size();
    QPainter painter(&writer);
    if (!painter.isActive()) throw std::logic_error("no PDF can be drawn into memory");
    Sheet sheet(painter, dots_a_mm);
    draw(writer, sheet,
         Box{margin, margin, size.width() - 2.0 * margin, size.height() - 2.0 * margin});
  }
  const QByteArray& all = bytes.data();
  return write_file(path, {all.constData(), static_cast<std::size_t>(all.size())});
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
