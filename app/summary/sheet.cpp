// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/summary/sheet.h"

#include <QFontMetricsF>
#include <QTextLayout>
#include <algorithm>

namespace moundwork::summary {
namespace {

constexpr double shrink_step = 0.1;  // mm
constexpr double indent = 2.6;       // mm, of a list's text
constexpr double between = 0.5;      // mm, of a list's paragraphs
constexpr double leading = 1.1;      // of a line's own height
const QChar ellipsis(0x2026);

// Breaks a text into lines; a word longer than its column breaks inside. Height in dots.
double lay_out(QTextLayout& layout, double width, bool to_right) {
  QTextOption option(to_right ? Qt::AlignRight : Qt::AlignLeft);
  option.setWrapMode(QTextOption::WrapAtWordBoundaryOrAnywhere);
  layout.setTextOption(option);
  double y = 0.0;
  layout.beginLayout();
  for (QTextLine line = layout.createLine(); line.isValid(); line = layout.createLine()) {
    line.setLineWidth(width);
    line.setPosition({0.0, y});
    y += leading * line.height();
  }
  layout.endLayout();
  return y;
}

}  // namespace

double Sheet::width_of(const std::string& text, double size, bool bold) const {
  const QFontMetricsF metrics(page_font(size * dots_, bold), painter_.device());
  return metrics.horizontalAdvance(QString::fromStdString(text)) / dots_;
}

double Sheet::height_of(const QString& text, double width, double size, bool bold) const {
  QTextLayout layout(text, page_font(size * dots_, bold), painter_.device());
  return lay_out(layout, width * dots_, false) / dots_;
}

void Sheet::draw(const Box& box, const QString& text, double size, const TextStyle& style) {
  QTextLayout layout(text, page_font(size * dots_, style.bold), painter_.device());
  lay_out(layout, box.width * dots_, style.to_right);
  painter_.setPen(colour(style.ink));
  layout.draw(&painter_, QPointF(box.x, box.y) * dots_);
}

double Sheet::line(const Box& box, const std::string& text, const TextStyle& style) {
  double size = style.size;
  while (size > style.least && width_of(text, size, style.bold) > box.width) size -= shrink_step;
  const QFont font = page_font(size * dots_, style.bold);
  const QFontMetricsF metrics(font, painter_.device());
  const QString shown =
      metrics.elidedText(QString::fromStdString(text), Qt::ElideRight, box.width * dots_);
  const double width = metrics.horizontalAdvance(shown);
  painter_.setFont(font);
  painter_.setPen(colour(style.ink));
  const double x = style.to_right ? box.right() * dots_ - width : box.x * dots_;
  painter_.drawText(QPointF(x, box.y * dots_ + metrics.ascent()), shown);
  return width / dots_;
}

double Sheet::block(const Box& box, const std::string& text, const TextStyle& style) {
  QString shown = QString::fromStdString(text);
  double size = style.size;
  while (size > style.least && height_of(shown, box.width, size, style.bold) > box.height)
    size -= shrink_step;
  if (height_of(shown, box.width, size, style.bold) > box.height) {
    qsizetype fits = 0;
    qsizetype too_many = shown.size();
    while (too_many - fits > 1) {
      const qsizetype middle = (fits + too_many) / 2;
      const bool room =
          height_of(shown.left(middle) + ellipsis, box.width, size, style.bold) <= box.height;
      (room ? fits : too_many) = middle;
    }
    shown = shown.left(fits) + ellipsis;
  }
  draw(box, shown, size, style);
  return height_of(shown, box.width, size, style.bold);
}

double Sheet::list_height(const std::vector<QString>& items, double width, double size,
                          bool bold) const {
  double height = -between;
  for (const QString& item : items) height += height_of(item, width - indent, size, bold) + between;
  return height;
}

double Sheet::list(const Box& box, const std::vector<std::string>& items, const TextStyle& style) {
  std::vector<QString> shown;
  shown.reserve(items.size());
  for (const auto& item : items) shown.push_back(QString::fromStdString(item));
  double size = style.size;
  while (size > style.least && list_height(shown, box.width, size, style.bold) > box.height)
    size -= shrink_step;
  std::size_t kept = shown.size();
  while (kept > 0 && list_height(shown, box.width, size, style.bold) > box.height) {
    --kept;
    shown.resize(kept);
    shown.push_back(QStringLiteral("And %1 more.").arg(items.size() - kept));
  }
  double y = box.y;
  for (const QString& item : shown) {
    const double height = height_of(item, box.width - indent, size, style.bold);
    draw({box.x, y, indent, height}, QStringLiteral("•"), size, style);
    draw({box.x + indent, y, box.width - indent, height}, item, size, style);
    y += height + between;
  }
  return y - between - box.y;
}

double Sheet::height_of_list(const std::vector<std::string>& items, double width,
                             const TextStyle& style) const {
  std::vector<QString> texts;
  texts.reserve(items.size());
  for (const auto& item : items) texts.push_back(QString::fromStdString(item));
  return list_height(texts, width, style.size, style.bold);
}

void Sheet::rule(Point from, Point to, Ink ink, double width) {
  painter_.setPen(QPen(colour(ink), width * dots_, Qt::SolidLine, Qt::FlatCap));
  painter_.drawLine(QPointF(from.x, from.y) * dots_, QPointF(to.x, to.y) * dots_);
}

void Sheet::frame(const Box& box, Ink ink, double width) {
  painter_.setPen(QPen(colour(ink), width * dots_, Qt::SolidLine, Qt::FlatCap, Qt::MiterJoin));
  painter_.setBrush(Qt::NoBrush);
  painter_.drawRect(QRectF(box.x * dots_, box.y * dots_, box.width * dots_, box.height * dots_));
}

void Sheet::place(const Drawing& drawing, Point at) {
  paint(painter_, drawing, QPointF(at.x, at.y) * dots_, dots_);
}

}  // namespace moundwork::summary
