// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/session_strip.h"

#include <algorithm>
#include <cmath>

namespace moundwork::desk {

SessionStrip::SessionStrip(QWidget* parent) : QCustomPlot(parent) {
  setAccessibleName(QStringLiteral("The whole session"));
  setMinimumSize(240, 96);
  setMaximumHeight(150);
  setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Preferred);
  setInteractions(QCP::iRangeDrag | QCP::iRangeZoom);
  axisRect()->setRangeDrag(Qt::Horizontal);
  axisRect()->setRangeZoom(Qt::Horizontal);
  axisRect()->setMinimumMargins(QMargins(40, 4, 8, 4));
  yAxis->setLabel(QStringLiteral("N"));
  yAxis->ticker()->setTickCount(3);
  const auto clock = QSharedPointer<QCPAxisTickerTime>::create();
  clock->setTimeFormat(QStringLiteral("%h:%m:%s"));
  xAxis->setTicker(clock);
  // What is drawn depends on the range: as many pieces as there are pixels.
  connect(xAxis, QOverload<const QCPRange&>::of(&QCPAxis::rangeChanged), this, [this] {
    draw_picture();
    draw_ticks();
  });
}

void SessionStrip::set_picture(const SessionPicture* picture, const Look& look) {
  picture_ = picture;
  look_ = look;
  double from = 0.0, to = 1.0, least = 0.0, greatest = 1.0;
  if (picture_ != nullptr && !picture_->plates.empty()) {
    from = 1e300;
    for (const auto& plate : picture_->plates) {
      if (plate.envelope.size() == 0) continue;
      from = std::min(from, plate.envelope.time(0));
      to = std::max(to, plate.envelope.end);
      least = std::min<double>(least, plate.envelope.least.minCoeff());
      greatest = std::max<double>(greatest, plate.envelope.greatest.maxCoeff());
    }
    if (from > to) from = 0.0;
  }
  yAxis->setRange(std::max(least, -0.2 * greatest), 1.1 * greatest);
  style_plot(*this, look_);
  if (xAxis->range() == QCPRange(from, to)) draw_picture();
  xAxis->setRange(from, to);
  draw_ticks();
}

void SessionStrip::draw_picture() {
  clearGraphs();
  if (picture_ != nullptr)
    for (const auto& plate : picture_->plates) {
      const auto view = session::view_of(plate.envelope, xAxis->range().lower, xAxis->range().upper,
                                         std::max(200, axisRect()->width()));
      const QVector<double> time(view.time.begin(), view.time.end());
      const Role role = plate.role == session::PlateRole::back ? Role::back_foot : Role::lead_foot;
      QPen pen = look_.pen(role, 1.0);
      pen.setStyle(Qt::SolidLine);
      QColor fill = look_.colour(role);
      fill.setAlphaF(0.5F);
      QCPGraph* greatest = addGraph();
      greatest->setData(time, QVector<double>(view.greatest.begin(), view.greatest.end()), true);
      QCPGraph* least = addGraph();
      least->setData(time, QVector<double>(view.least.begin(), view.least.end()), true);
      for (QCPGraph* graph : {greatest, least}) graph->setPen(pen);
      greatest->setBrush(fill);
      greatest->setChannelFillGraph(least);
    }
  replot(QCustomPlot::rpQueuedReplot);
}

void SessionStrip::set_ticks(std::vector<Tick> ticks, int shown) {
  ticks_ = std::move(ticks);
  shown_ = shown;
  draw_ticks();
}

void SessionStrip::draw_ticks() {
  clearItems();
  // Numbers that would touch are left out; the one that is shown always has its place.
  const double room = 2.2 * QFontMetricsF(font()).horizontalAdvance(QStringLiteral("00"));
  const auto shown = std::find_if(ticks_.begin(), ticks_.end(),
                                  [this](const Tick& tick) { return tick.number == shown_; });
  double last = -1e9;
  for (const Tick& tick : ticks_) {
    const bool here = tick.number == shown_;
    const double x = xAxis->coordToPixel(tick.contact);
    const bool beside =
        shown != ticks_.end() && !here && std::abs(x - xAxis->coordToPixel(shown->contact)) < room;
    if (!here && (beside || x - last < room)) continue;
    last = x;
    auto* label = new QCPItemText(this);
    label->position->setTypeX(QCPItemPosition::ptPlotCoords);
    label->position->setTypeY(QCPItemPosition::ptAxisRectRatio);
    label->position->setCoords(tick.contact, 0.02);
    label->setPositionAlignment(Qt::AlignTop | Qt::AlignHCenter);
    label->setText(tick.excluded ? QStringLiteral("(%1)").arg(tick.number)
                                 : QString::number(tick.number));
    label->setColor(here ? look_.ink : look_.faint);
    QFont font = label->font();
    font.setBold(here);
    label->setFont(font);
    if (here) {
      label->setBrush(look_.chosen);
      label->setPadding(QMargins(4, 1, 4, 1));
    }
  }
  replot(QCustomPlot::rpQueuedReplot);
}

void SessionStrip::mousePressEvent(QMouseEvent* event) {
  pressed_ = event->position();
  QCustomPlot::mousePressEvent(event);
}

void SessionStrip::mouseReleaseEvent(QMouseEvent* event) {
  QCustomPlot::mouseReleaseEvent(event);
  constexpr double still = 4.0, near = 20.0;  // px
  if ((event->position() - pressed_).manhattanLength() > still) return;
  const Tick* best = nullptr;
  double nearest = near;
  for (const Tick& tick : ticks_)
    if (const double apart = std::abs(xAxis->coordToPixel(tick.contact) - event->position().x());
        apart < nearest) {
      nearest = apart;
      best = &tick;
    }
  if (best != nullptr) Q_EMIT throw_chosen(best->number);
}

void SessionStrip::resizeEvent(QResizeEvent* event) {
  QCustomPlot::resizeEvent(event);
  draw_picture();
}

}  // namespace moundwork::desk
