// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/day_path.h"

#include <QButtonGroup>
#include <QHBoxLayout>
#include <QPainter>
#include <QPainterPath>
#include <QToolButton>

namespace moundwork::desk {

DayPath::DayPath(const QStringList& stops, QWidget* parent) : QWidget(parent) {
  auto* row = new QHBoxLayout(this);
  row->setContentsMargins(12, 6, 12, 14);
  row->setSpacing(0);
  auto* group = new QButtonGroup(this);
  for (int i = 0; i < stops.size(); ++i) {
    auto* button = new QToolButton(this);
    button->setText(stops[i]);
    button->setCheckable(true);
    button->setAutoRaise(true);
    button->setToolTip(QStringLiteral("Ctrl+%1").arg(i + 1));
    button->setFocusPolicy(Qt::StrongFocus);
    QFont font = button->font();
    font.setPointSizeF(font.pointSizeF() * 1.15);
    button->setFont(font);
    if (i > 0) row->addStretch(1);
    row->addWidget(button);
    group->addButton(button, i);
    buttons_.push_back(button);
  }
  buttons_.front()->setChecked(true);
  connect(group, &QButtonGroup::idClicked, this, [this](int stop) {
    go_to(stop);
    Q_EMIT stop_chosen(stop);
  });
}

void DayPath::go_to(int stop) {
  stop_ = stop;
  buttons_.at(static_cast<std::size_t>(stop))->setChecked(true);
  update();
}

void DayPath::paintEvent(QPaintEvent*) {
  QPainter painter(this);
  painter.setRenderHint(QPainter::Antialiasing);
  const QColor ink = palette().color(QPalette::PlaceholderText);
  const auto middle = [&](std::size_t i) { return QPointF(buttons_[i]->geometry().center()).x(); };
  // Level at the rubber, then a fall of 1 in 12, drawn steeper so that it is seen.
  const double top = height() - 12.0, foot = height() - 4.0;
  const double first = middle(0), last = middle(buttons_.size() - 1);
  const auto ground = [&](double x) {
    const double along = std::clamp((x - first) / std::max(1.0, last - first), 0.0, 1.0);
    return along < 0.12 ? top : top + (foot - top) * (along - 0.12) / 0.88;
  };
  QPainterPath path(QPointF(0.0, top));
  path.lineTo(first + 0.12 * (last - first), top);
  path.lineTo(last, foot);
  path.lineTo(width(), foot);
  painter.setPen(QPen(ink, 1.2));
  painter.drawPath(path);
  for (std::size_t i = 0; i < buttons_.size(); ++i) {
    const bool here = static_cast<int>(i) == stop_;
    const double x = middle(i);
    painter.setBrush(here ? palette().color(QPalette::WindowText)
                          : palette().color(QPalette::Window));
    painter.setPen(QPen(here ? palette().color(QPalette::WindowText) : ink, 1.4));
    painter.drawEllipse(QPointF(x, ground(x)), here ? 4.5 : 3.5, here ? 4.5 : 3.5);
  }
}

}  // namespace moundwork::desk
