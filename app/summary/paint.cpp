// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/summary/paint.h"

#include <QFontMetricsF>
#include <QPainterPath>
#include <algorithm>
#include <cmath>
#include <variant>

namespace moundwork::summary {
namespace {

class Painter {
 public:
  Painter(QPainter& painter, QPointF at, double dots) : painter_(painter), at_(at), dots_(dots) {}

  void operator()(const Stroke& stroke) const {
    if (stroke.points.empty()) return;
    QPainterPath path(place(stroke.points.front()));
    for (std::size_t i = 1; i < stroke.points.size(); ++i) path.lineTo(place(stroke.points[i]));
    if (stroke.closed) path.closeSubpath();
    QColor fill = colour(stroke.fill);
    if (stroke.fill != Ink::none) fill.setAlphaF(static_cast<float>(stroke.fill_opacity));
    painter_.setBrush(stroke.fill == Ink::none ? QBrush(Qt::NoBrush) : QBrush(fill));
    painter_.setPen(pen_of(stroke));
    painter_.drawPath(path);
  }

  void operator()(const Label& label) const {
    painter_.setFont(page_font(label.size * dots_, label.bold));
    painter_.setPen(colour(label.ink));
    const QString text = QString::fromStdString(label.text);
    const double width = QFontMetricsF(painter_.font(), painter_.device()).horizontalAdvance(text);
    QPointF from = place(label.at);
    if (label.anchor == Anchor::middle) from.rx() -= 0.5 * width;
    if (label.anchor == Anchor::end) from.rx() -= width;
    painter_.drawText(from, text);
  }

 private:
  [[nodiscard]] QPointF place(Point point) const { return at_ + QPointF(point.x, point.y) * dots_; }
  [[nodiscard]] QPen pen_of(const Stroke& stroke) const {
    if (stroke.ink == Ink::none) return QPen(Qt::NoPen);
    QPen pen(colour(stroke.ink), stroke.width * dots_);
    pen.setCapStyle(Qt::FlatCap);
    pen.setJoinStyle(Qt::RoundJoin);
    // Lengths of dashes in mm, as on the page for a browser; Qt counts in widths of the pen.
    if (stroke.dash == Dash::dashed) pen.setDashPattern({1.8 / stroke.width, 1.1 / stroke.width});
    if (stroke.dash == Dash::dotted) pen.setDashPattern({0.4 / stroke.width, 0.9 / stroke.width});
    return pen;
  }

  QPainter& painter_;
  QPointF at_;
  double dots_;
};

}  // namespace

QFont page_font(double dots, bool bold) {
  QFont font(QStringList{QStringLiteral("Lato"), QStringLiteral("DejaVu Sans")});
  font.setPixelSize(std::max(1, static_cast<int>(std::lround(dots))));
  font.setBold(bold);
  // Hints are for screens; on paper they would space letters by whole dots of another size.
  font.setHintingPreference(QFont::PreferNoHinting);
  // Letters set apart by less than can be seen: it keeps ligatures out, which a reader of the
  // page's text would find as one strange letter or none.
  font.setLetterSpacing(QFont::AbsoluteSpacing, 0.02);
  return font;
}

QColor colour(Ink ink) { return QColor(QString::fromLatin1(colour_of(ink))); }

void paint(QPainter& painter, const Drawing& drawing, QPointF at, double dots) {
  painter.save();
  const Painter one(painter, at, dots);
  for (const Shape& shape : drawing.shapes) std::visit(one, shape);
  painter.restore();
}

}  // namespace moundwork::summary
