// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/trace_plot.h"

#include <algorithm>
#include <cmath>

#include "app/desk/review/label_rows.h"
#include "core/base/sentence.h"

namespace moundwork::desk {
namespace {

constexpr double shown_from = -1.2, shown_to = 0.45;  // s: the drive to the follow-through
constexpr double nudge = 0.0005, stride = 0.005;      // s by a key, and with Shift
constexpr double pointer_reach = 7.0;                 // px from a line that still take it

const std::array<const char*, strip_count> strip_words{"toward home", "vertical", "heel–toe"};

}  // namespace

TracePlot::TracePlot(QWidget* parent) : QCustomPlot(parent), lane_(new QCPAxisRect(this, true)) {
  setFocusPolicy(Qt::StrongFocus);
  setMinimumSize(240, 200);
  setAccessibleName(QStringLiteral("Forces and heel-to-toe position over time"));
  setInteractions(QCP::iRangeDrag | QCP::iRangeZoom);
  plotLayout()->clear();
  plotLayout()->setRowSpacing(0);
  auto* margins = new QCPMarginGroup(this);
  const auto add = [&](int row, QCPAxisRect* rectangle) {
    plotLayout()->addElement(row, 0, rectangle);
    rectangle->setMarginGroup(QCP::msLeft | QCP::msRight, margins);
    rectangle->setMinimumMargins(QMargins(2, 4, 8, 0));
    rectangle->setRangeDrag(Qt::Horizontal);
    rectangle->setRangeZoom(Qt::Horizontal);
    for (QCPAxis* axis : rectangle->axes()) {
      axis->setLayer(QStringLiteral("axes"));
      axis->grid()->setLayer(QStringLiteral("grid"));
    }
    connect(rectangle->axis(QCPAxis::atBottom),
            QOverload<const QCPRange&>::of(&QCPAxis::rangeChanged), this,
            [this](const QCPRange& range) {
              for (QCPAxisRect* other : axisRects())
                other->axis(QCPAxis::atBottom)->setRange(range);
              place_labels();
            });
  };
  add(0, lane_);
  lane_->setMinimumSize(10, 20);
  lane_->setMaximumSize(QWIDGETSIZE_MAX, 20);
  lane_->axis(QCPAxis::atLeft)->setVisible(false);
  lane_->axis(QCPAxis::atBottom)->setVisible(false);
  lane_->axis(QCPAxis::atLeft)->grid()->setVisible(false);
  lane_->axis(QCPAxis::atBottom)->grid()->setVisible(false);
  lane_->setRangeDrag({});
  for (std::size_t i = 0; i < strips_.size(); ++i) {
    strips_[i] = new QCPAxisRect(this, true);
    add(static_cast<int>(i) + 1, strips_[i]);
    if (i + 1 < strips_.size()) strips_[i]->axis(QCPAxis::atBottom)->setTickLabels(false);
    strips_[i]->axis(QCPAxis::atLeft)->setNumberPrecision(3);
  }
  plotLayout()->setRowStretchFactor(1, 1.2);
  plotLayout()->setRowStretchFactor(3, 0.8);
  // The first legend went with the first axis rectangle.
  legend = new QCPLegend;
  strips_[0]->insetLayout()->addElement(legend, Qt::AlignBottom | Qt::AlignLeft);
  legend->setLayer(QStringLiteral("legend"));
  legend->setVisible(true);
  set_origin_name(QStringLiteral("lead contact"));
  show_all();
}

void TracePlot::set_origin_name(const QString& name) {
  strips_.back()->axis(QCPAxis::atBottom)->setLabel(QStringLiteral("s from ") + name);
}

void TracePlot::show_all() {
  strips_[0]->axis(QCPAxis::atBottom)->setRange(shown_from, shown_to);
  replot(QCustomPlot::rpQueuedReplot);
}

void TracePlot::add_line(Strip which, const TraceLine& line, const QPen& pen, const QString& name) {
  if (line.time.isEmpty()) return;
  QCPAxisRect& rectangle = strip(which);
  QCPGraph* graph = addGraph(rectangle.axis(QCPAxis::atBottom), rectangle.axis(QCPAxis::atLeft));
  graph->setData(line.time, line.value, true);
  graph->setPen(pen);
  graph->setName(name);
  if (name.isEmpty()) graph->removeFromLegend();
}

void TracePlot::set_throws(const std::vector<PlottedThrow>& throws, const Look& look,
                           const QString& force_unit) {
  look_ = look;
  clearGraphs();
  for (std::size_t i = 0; i < throws.size(); ++i) {
    const PlottedThrow& drawn = throws[i];
    QPen back = look.pen(Role::back_foot), lead = look.pen(Role::lead_foot);
    QString back_name = QStringLiteral("back foot"), lead_name = QStringLiteral("lead foot");
    if (throws.size() > 1) {
      // A colour for each throw; the feet stay apart by solid and dashed lines.
      back = lead = look.nth_pen(static_cast<int>(i));
      back.setStyle(Qt::SolidLine);
      lead.setStyle(Qt::DashLine);
      back_name = QString::fromStdString(sentence("throw {number}", "number"_is(drawn.number)));
      lead_name = i == 0 ? QStringLiteral("dashed: lead foot") : QString();
    }
    const ThrowTraces& traces = drawn.traces;
    add_line(Strip::toward_home, traces.back_x, back, back_name);
    add_line(Strip::toward_home, traces.lead_x, lead, lead_name);
    add_line(Strip::vertical, traces.back_z, back, {});
    add_line(Strip::vertical, traces.lead_z, lead, {});
    add_line(Strip::heel_to_toe, traces.heel_toe, back, {});
    add_plates(drawn.plates);
  }
  for (std::size_t i = 0; i < strips_.size(); ++i) {
    const QString unit = i + 1 < strips_.size() ? force_unit : QStringLiteral("%");
    strips_[i]
        ->axis(QCPAxis::atLeft)
        ->setLabel(QString::fromStdString(sentence(
            "{quantity} ({unit})", "quantity"_is(strip_words[i]), "unit"_is(unit.toStdString()))));
  }
  strip(Strip::heel_to_toe).setVisible(true);
  style_plot(*this, look);
  fit_values();
  replot(QCustomPlot::rpQueuedReplot);
}

void TracePlot::add_plates(const std::vector<PlateTraces>& plates) {
  // Thin lines in the foot's colour, told from each other and from the foot's by their style.
  constexpr std::array styles{Qt::DotLine, Qt::DashDotLine, Qt::DashDotDotLine};
  for (const PlateTraces& plate : plates) {
    const bool back = plate.foot == session::PlateRole::back;
    QPen pen = look_.pen(back ? Role::back_foot : Role::lead_foot, 1.0);
    pen.setStyle(styles[static_cast<std::size_t>(plate.place) % styles.size()]);
    add_line(Strip::toward_home, plate.x, pen, plate.name);
    add_line(Strip::vertical, plate.z, pen, {});
  }
}

void TracePlot::fit_values() {
  for (const Strip which : {Strip::toward_home, Strip::vertical}) {
    double least = 0.0, greatest = 0.0;
    for (QCPGraph* graph : strip(which).graphs()) {
      bool found = false;
      const QCPRange range = graph->getValueRange(found);
      if (!found) continue;
      least = std::min(least, range.lower);
      greatest = std::max(greatest, range.upper);
    }
    const double room = 0.08 * std::max(1e-9, greatest - least);
    strip(which).axis(QCPAxis::atLeft)->setRange(least - room, greatest + room);
  }
  // The foot and a little beside it; where the pressure leaves it, the line leaves the picture.
  strip(Strip::heel_to_toe).axis(QCPAxis::atLeft)->setRange(-10.0, 110.0);
}

void TracePlot::set_markers(std::vector<PlotMarker> markers, const Look& look) {
  look_ = look;
  markers_ = std::move(markers);
  if (chosen_ && find(*chosen_) == nullptr) chosen_.reset();
  draw_markers();
}

PlotMarker* TracePlot::find(int id) {
  const auto found = std::find_if(markers_.begin(), markers_.end(),
                                  [&](const PlotMarker& marker) { return marker.id == id; });
  return found == markers_.end() ? nullptr : &*found;
}

void TracePlot::choose_marker(std::optional<int> id) {
  if (chosen_ == id) return;
  chosen_ = id;
  draw_markers();
}

void TracePlot::draw_markers() {
  for (Drawn& drawn : drawn_) {
    for (auto& line : drawn.lines) removeItem(line);
    for (auto& band : drawn.bands) removeItem(band);
    removeItem(drawn.label);
  }
  drawn_.clear();
  for (const PlotMarker& marker : markers_) {
    Drawn drawn;
    const bool chosen = chosen_ == marker.id;
    QPen pen = look_.pen(marker.role, chosen ? 2.4 : 1.0);
    if (marker.moved) pen.setStyle(Qt::DashLine);
    QColor fill = look_.colour(marker.role);
    fill.setAlphaF(chosen ? 0.25F : 0.12F);
    for (QCPAxisRect* rectangle : strips_) {
      QCPAxis* time = rectangle->axis(QCPAxis::atBottom);
      QCPAxis* value = rectangle->axis(QCPAxis::atLeft);
      auto* band = new QCPItemRect(this);
      band->setClipAxisRect(rectangle);
      for (QCPItemPosition* position : {band->topLeft, band->bottomRight}) {
        position->setAxes(time, value);
        position->setAxisRect(rectangle);
        position->setTypeX(QCPItemPosition::ptPlotCoords);
        position->setTypeY(QCPItemPosition::ptAxisRectRatio);
      }
      band->topLeft->setCoords(marker.time - 2.0 * marker.u, 0.0);
      band->bottomRight->setCoords(marker.time + 2.0 * marker.u, 1.0);
      band->setPen(Qt::NoPen);
      band->setBrush(fill);
      drawn.bands.emplace_back(band);
      auto* line = new QCPItemStraightLine(this);
      line->setClipAxisRect(rectangle);
      for (QCPItemPosition* position : {line->point1, line->point2}) {
        position->setAxes(time, value);
        position->setAxisRect(rectangle);
        position->setTypeX(QCPItemPosition::ptPlotCoords);
        position->setTypeY(QCPItemPosition::ptAxisRectRatio);
      }
      line->point1->setCoords(marker.time, 0.0);
      line->point2->setCoords(marker.time, 1.0);
      line->setPen(pen);
      drawn.lines.emplace_back(line);
    }
    auto* label = new QCPItemText(this);
    label->setClipToAxisRect(false);
    label->position->setAxes(lane_->axis(QCPAxis::atBottom), lane_->axis(QCPAxis::atLeft));
    label->position->setAxisRect(lane_);
    label->position->setTypeX(QCPItemPosition::ptPlotCoords);
    label->position->setTypeY(QCPItemPosition::ptAxisRectRatio);
    label->setPositionAlignment(Qt::AlignTop | Qt::AlignHCenter);
    label->setText(marker.moved ? marker.name + QStringLiteral(" (moved)") : marker.name);
    label->setColor(look_.colour(marker.role));
    QFont font = label->font();
    font.setBold(chosen);
    label->setFont(font);
    label->setPadding(QMargins(3, 1, 3, 1));
    drawn.label = label;
    drawn_.push_back(std::move(drawn));
  }
  place_labels();
  replot(QCustomPlot::rpQueuedReplot);
}

void TracePlot::place_labels() {
  if (drawn_.empty()) return;
  const QFontMetricsF metrics(font());
  QCPAxis* time = lane_->axis(QCPAxis::atBottom);
  std::vector<LabelSpan> spans;
  std::vector<std::size_t> shown;
  for (std::size_t i = 0; i < markers_.size(); ++i) {
    const bool inside = time->range().contains(markers_[i].time);
    if (drawn_[i].label) drawn_[i].label->setVisible(inside);
    if (!inside) continue;
    const double middle = time->coordToPixel(markers_[i].time);
    const double half = 0.5 * metrics.horizontalAdvance(drawn_[i].label->text()) + 4.0;
    spans.push_back({middle - half, middle + half});
    shown.push_back(i);
  }
  const std::vector<int> rows = label_rows(spans, 4.0);
  const int count = rows.empty() ? 1 : *std::max_element(rows.begin(), rows.end()) + 1;
  const double row_height = metrics.height() + 3.0;
  const int height = static_cast<int>(std::ceil(count * row_height));
  lane_->setMinimumSize(10, height);
  lane_->setMaximumSize(QWIDGETSIZE_MAX, height);
  for (std::size_t i = 0; i < shown.size(); ++i)
    drawn_[shown[i]].label->position->setCoords(
        markers_[shown[i]].time, static_cast<double>(rows[i]) / static_cast<double>(count));
}

std::optional<int> TracePlot::marker_at(const QPointF& position) const {
  std::optional<int> best;
  double nearest = pointer_reach;
  for (std::size_t i = 0; i < markers_.size(); ++i) {
    const auto& label = drawn_[i].label;
    if (label && label->visible() && label->selectTest(position, false) == 0.0 &&
        lane_->outerRect().contains(position.toPoint()))
      return markers_[i].id;
    const double x = strips_[0]->axis(QCPAxis::atBottom)->coordToPixel(markers_[i].time);
    if (const double apart = std::abs(x - position.x()); apart < nearest) {
      nearest = apart;
      best = markers_[i].id;
    }
  }
  return best;
}

void TracePlot::mousePressEvent(QMouseEvent* event) {
  setFocus(Qt::MouseFocusReason);
  const auto taken =
      event->button() == Qt::LeftButton ? marker_at(event->position()) : std::nullopt;
  if (!taken) return QCustomPlot::mousePressEvent(event);
  choose_marker(taken);
  Q_EMIT marker_chosen(*taken);
  const PlotMarker* marker = find(*taken);
  dragging_ = marker->movable;
  grabbed_ =
      marker->time - strips_[0]->axis(QCPAxis::atBottom)->pixelToCoord(event->position().x());
}

void TracePlot::mouseMoveEvent(QMouseEvent* event) {
  if (!dragging_) {
    setCursor(marker_at(event->position()) ? Qt::SizeHorCursor : Qt::ArrowCursor);
    return QCustomPlot::mouseMoveEvent(event);
  }
  if (PlotMarker* marker = find(chosen_.value_or(-1))) {
    marker->time =
        strips_[0]->axis(QCPAxis::atBottom)->pixelToCoord(event->position().x()) + grabbed_;
    draw_markers();
    Q_EMIT marker_dragged(marker->id, marker->time);
  }
}

void TracePlot::mouseReleaseEvent(QMouseEvent* event) {
  if (!dragging_) return QCustomPlot::mouseReleaseEvent(event);
  dragging_ = false;
  if (const PlotMarker* marker = find(chosen_.value_or(-1)))
    Q_EMIT marker_dropped(marker->id, marker->time);
}

void TracePlot::keyPressEvent(QKeyEvent* event) {
  const auto step_to = [&](int by) {
    if (markers_.empty()) return;
    std::vector<const PlotMarker*> order;
    for (const PlotMarker& marker : markers_) order.push_back(&marker);
    std::sort(order.begin(), order.end(),
              [](const PlotMarker* a, const PlotMarker* b) { return a->time < b->time; });
    const auto here = std::find_if(order.begin(), order.end(),
                                   [&](const PlotMarker* marker) { return chosen_ == marker->id; });
    const auto count = static_cast<int>(order.size());
    const int at =
        here == order.end() ? (by > 0 ? -1 : count) : static_cast<int>(here - order.begin());
    const PlotMarker* next = order[static_cast<std::size_t>(std::clamp(at + by, 0, count - 1))];
    choose_marker(next->id);
    Q_EMIT marker_chosen(next->id);
  };
  const auto move_by = [&](double by) {
    PlotMarker* marker = find(chosen_.value_or(-1));
    if (marker == nullptr || !marker->movable) return;
    if ((event->modifiers() & Qt::ShiftModifier) != 0) by *= stride / nudge;
    marker->time += by;
    const int id = marker->id;
    const double time = marker->time;
    draw_markers();
    Q_EMIT marker_dropped(id, time);
  };
  const auto zoom_by = [&](double factor) {
    QCPAxis* time = strips_[0]->axis(QCPAxis::atBottom);
    const PlotMarker* marker = find(chosen_.value_or(-1));
    time->scaleRange(factor, marker != nullptr ? marker->time : time->range().center());
    replot(QCustomPlot::rpQueuedReplot);
  };
  switch (event->key()) {
    case Qt::Key_BracketLeft:
      return step_to(-1);
    case Qt::Key_BracketRight:
      return step_to(1);
    case Qt::Key_Left:
      return move_by(-nudge);
    case Qt::Key_Right:
      return move_by(nudge);
    case Qt::Key_Plus:
    case Qt::Key_Equal:
      return zoom_by(0.7);
    case Qt::Key_Minus:
      return zoom_by(1.0 / 0.7);
    case Qt::Key_Home:
      return show_all();
    default:
      QCustomPlot::keyPressEvent(event);
  }
}

void TracePlot::resizeEvent(QResizeEvent* event) {
  QCustomPlot::resizeEvent(event);
  place_labels();
}

}  // namespace moundwork::desk
