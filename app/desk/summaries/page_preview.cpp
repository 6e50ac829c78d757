// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/summaries/page_preview.h"

#include <QPageSize>
#include <QPainter>
#include <utility>

#include "app/summary/page.h"

namespace moundwork::desk {

PagePreview::PagePreview(QWidget* parent) : QWidget(parent) {
  setAccessibleName(QStringLiteral("The page as it will be printed"));
  setMinimumSize(260, 320);
}

void PagePreview::show_summary(std::optional<summary::Summary> summary, summary::Paper paper) {
  summary_ = std::move(summary);
  paper_ = paper;
  setAccessibleDescription(summary_ ? QString::fromStdString(summary_->who + ", " + summary_->when)
                                    : QString());
  update();
}

void PagePreview::paintEvent(QPaintEvent*) {
  if (!summary_) return;
  QPainter painter(this);
  painter.setRenderHints(QPainter::Antialiasing | QPainter::TextAntialiasing);
  const QSizeF size = QPageSize::size(
      paper_ == summary::Paper::a4 ? QPageSize::A4 : QPageSize::Letter, QPageSize::Millimeter);
  const double dots = std::min((width() - 4.0) / size.width(), (height() - 4.0) / size.height());
  const QSizeF drawn = size * dots;
  painter.translate(0.5 * (width() - drawn.width()), 2.0);
  painter.fillRect(QRectF(QPointF(), drawn), Qt::white);
  painter.setPen(QPen(palette().color(QPalette::PlaceholderText), 1.0));
  painter.drawRect(QRectF(QPointF(), drawn));
  constexpr double margin = 12.0;  // mm
  summary::Sheet sheet(painter, dots);
  summary::draw_page(sheet, *summary_,
                     {margin, margin, size.width() - 2.0 * margin, size.height() - 2.0 * margin});
}

}  // namespace moundwork::desk
