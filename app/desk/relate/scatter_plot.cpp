// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/relate/scatter_plot.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace moundwork::desk {
namespace {

constexpr double point_reach = 12.0;  // px from a point that still take it
constexpr int most_named = 8;         // athletes in the legend; more would cover the points

QCPScatterStyle mark_of(int group, const QColor& colour) {
  constexpr std::array shapes{QCPScatterStyle::ssDisc,     QCPScatterStyle::ssSquare,
                              QCPScatterStyle::ssTriangle, QCPScatterStyle::ssDiamond,
                              QCPScatterStyle::ssCross,    QCPScatterStyle::ssPlus,
                              QCPScatterStyle::ssStar};
  QCPScatterStyle style(shapes[static_cast<std::size_t>(group) % shapes.size()], 8.0);
  style.setPen(QPen(colour, 1.5));
  return style;
}

}  // namespace

ScatterPlot::ScatterPlot(QWidget* parent) : QCustomPlot(parent), ring_(new QCPItemEllipse(this)) {
  setFocusPolicy(Qt::StrongFocus);
  setMinimumSize(200, 160);
  setMouseTracking(true);
  setAccessibleName(QStringLiteral("Ball speed against the chosen number; arrows choose a throw"));
  ring_->setVisible(false);
}

void ScatterPlot::show_points(std::vector<ScatterPoint> points, const QStringList& groups,
                              double slope, const QString& x_label, const QString& y_label,
                              const Look& look) {
  points_ = std::move(points);
  // From left to right, so that the arrow keys walk along the axis.
  std::sort(points_.begin(), points_.end(),
            [](const ScatterPoint& a, const ScatterPoint& b) { return a.x < b.x; });
  chosen_ = -1;
  ring_->setVisible(false);
  clearPlottables();
  legend->clearItems();
  for (int group = 0; group < groups.size(); ++group) {
    QVector<double> x, y;
    for (const ScatterPoint& point : points_)
      if (point.group == group) {
        x.push_back(point.x);
        y.push_back(point.y);
      }
    if (x.isEmpty()) continue;
    QPen pen = look.nth_pen(group);
    QCPGraph* marks = addGraph();
    marks->setData(x, y, true);
    marks->setLineStyle(QCPGraph::lsNone);
    marks->setScatterStyle(mark_of(group, pen.color()));
    marks->setName(groups[group]);
    if (std::isfinite(slope) && x.size() > 1) {
      const double mean_x =
          std::accumulate(x.begin(), x.end(), 0.0) / static_cast<double>(x.size());
      const double mean_y =
          std::accumulate(y.begin(), y.end(), 0.0) / static_cast<double>(y.size());
      QCPGraph* line = addGraph();
      line->setData({x.front(), x.back()},
                    {mean_y + slope * (x.front() - mean_x), mean_y + slope * (x.back() - mean_x)},
                    true);
      pen.setStyle(Qt::SolidLine);
      line->setPen(pen);
      line->removeFromLegend();
    }
  }
  legend->setVisible(groups.size() > 1 && groups.size() <= most_named);
  xAxis->setLabel(x_label);
  yAxis->setLabel(y_label);
  rescaleAxes();
  xAxis->scaleRange(1.12, xAxis->range().center());
  yAxis->scaleRange(1.12, yAxis->range().center());
  style_plot(*this, look);
  ring_->setPen(QPen(look.ink, 1.6));
  replot(QCustomPlot::rpQueuedReplot);
}

int ScatterPlot::nearest(const QPointF& position) const {
  int best = -1;
  double least = point_reach;
  for (std::size_t i = 0; i < points_.size(); ++i) {
    const double apart = std::hypot(xAxis->coordToPixel(points_[i].x) - position.x(),
                                    yAxis->coordToPixel(points_[i].y) - position.y());
    if (apart < least) {
      least = apart;
      best = static_cast<int>(i);
    }
  }
  return best;
}

void ScatterPlot::choose(int point) {
  chosen_ = point;
  ring_->setVisible(point >= 0);
  if (point >= 0) {
    const ScatterPoint& at = points_[static_cast<std::size_t>(point)];
    const double x = xAxis->coordToPixel(at.x), y = yAxis->coordToPixel(at.y);
    constexpr double radius = 8.0;
    for (QCPItemPosition* corner : {ring_->topLeft, ring_->bottomRight})
      corner->setType(QCPItemPosition::ptAbsolute);
    ring_->topLeft->setCoords(x - radius, y - radius);
    ring_->bottomRight->setCoords(x + radius, y + radius);
  }
  replot(QCustomPlot::rpQueuedReplot);
}

void ScatterPlot::mousePressEvent(QMouseEvent* event) {
  setFocus(Qt::MouseFocusReason);
  const int point = nearest(event->position());
  choose(point);
  if (point >= 0) Q_EMIT row_wanted(points_[static_cast<std::size_t>(point)].row);
}

void ScatterPlot::mouseMoveEvent(QMouseEvent* event) {
  setCursor(nearest(event->position()) >= 0 ? Qt::PointingHandCursor : Qt::ArrowCursor);
}

void ScatterPlot::keyPressEvent(QKeyEvent* event) {
  const int last = static_cast<int>(points_.size()) - 1;
  if (last < 0) return QCustomPlot::keyPressEvent(event);
  switch (event->key()) {
    case Qt::Key_Left:
      return choose(chosen_ < 0 ? last : std::max(0, chosen_ - 1));
    case Qt::Key_Right:
      return choose(std::min(last, chosen_ + 1));
    case Qt::Key_Return:
    case Qt::Key_Enter:
      if (chosen_ >= 0) Q_EMIT row_wanted(points_[static_cast<std::size_t>(chosen_)].row);
      return;
    default:
      QCustomPlot::keyPressEvent(event);
  }
}

}  // namespace moundwork::desk
