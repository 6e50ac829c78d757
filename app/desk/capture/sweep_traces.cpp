// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/sweep_traces.h"

#include <QFontMetricsF>
#include <QPaintEvent>
#include <QPainter>
#include <cmath>

#include "core/base/units.h"

namespace moundwork::desk {
namespace {

constexpr double unknown_weight = 800.0;  // N, for the scale alone where no mass is known
// The vertical trace is the one that is read most.
constexpr std::array panel_shares{0.32, 0.22, 0.46};
constexpr std::array titles{"Throwing line: drive up, braking down", "Sideways: first-base side up",
                            "Vertical"};

}  // namespace

SweepTraces::SweepTraces(const Look& look, QWidget* parent)
    : QWidget(parent),
      look_(look),
      mass_(std::numeric_limits<double>::quiet_NaN()),
      scales_(usual_scales(unknown_weight, 1.0)) {
  setAttribute(Qt::WA_OpaquePaintEvent);
  setAccessibleName(QStringLiteral("Forces under both feet, the last eight seconds"));
  setAccessibleDescription(QStringLiteral(
      "Throwing line, sideways and vertical, one above another; the back foot's line is solid, the "
      "lead foot's dashed. A thin numbered line is a throw's landing."));
}

QSize SweepTraces::sizeHint() const { return {760, 320}; }
QSize SweepTraces::minimumSizeHint() const { return {320, 180}; }

void SweepTraces::set_look(const Look& look) {
  look_ = look;
  begin_anew();
}

void SweepTraces::set_units(const Preferences& preferences, double mass) {
  const ForceUnit force = std::isfinite(mass) ? preferences.force : ForceUnit::newton;
  const bool same_mass = mass == mass_ || (std::isnan(mass) && std::isnan(mass_));
  if (force == force_ && same_mass) return;  // what was drawn stays
  force_ = force;
  mass_ = mass;
  const double weight = std::isfinite(mass_) ? mass_ * standard_gravity : unknown_weight;
  scales_ = usual_scales(weight, force_ == ForceUnit::newton ? 1.0 : weight);
  begin_anew();
}

void SweepTraces::clear() {
  pens_ = {};
  marks_.clear();
  held_.reset();
  newest_ = 0.0;
  begin_anew();
}

void SweepTraces::begin_anew() {
  anew_ = true;
  ground_ = {};
  if (held_ && !canvas_.isNull()) {
    // Nothing more comes that would draw it.
    take(*held_);
  }
  update();
}

void SweepTraces::hold(drivers::LiveFeet last) {
  held_ = std::move(last);
  begin_anew();
}

double SweepTraces::wanted_span() const {
  constexpr double margin =
      1.0;  // what an instrument may send in one go, long after it was sampled
  if (anew_ || !since_.isValid()) return time_.span;
  return std::min(time_.span, static_cast<double>(since_.elapsed()) * 1e-3 + margin);
}

QRectF SweepTraces::panel(std::size_t axis) const {
  const QFontMetricsF letters(font());
  const double left = letters.horizontalAdvance(QStringLiteral("-2000")) + 8.0;
  const double legend = letters.height() + 2.0;
  double top = legend;
  const double room = std::max(30.0, height() - legend - 2.0);
  for (std::size_t i = 0; i < axis; ++i) top += panel_shares[i] * room;
  return {left, top + 2.0, std::max(10.0, width() - left - 4.0), panel_shares[axis] * room - 4.0};
}

double SweepTraces::x_at(double time) const {
  const QRectF area = panel(0);
  return area.left() + time_.x(time) * area.width();
}

void SweepTraces::make_ground() {
  const double ratio = devicePixelRatioF();
  ground_ = QPixmap((QSizeF(size()) * ratio).toSize());
  ground_.setDevicePixelRatio(ratio);
  ground_.fill(look_.paper);
  QPainter painter(&ground_);
  const QFontMetricsF letters(font());
  QColor grid = look_.faint;
  grid.setAlphaF(0.25F);
  QColor zero = look_.faint;
  zero.setAlphaF(0.8F);
  for (std::size_t axis = 0; axis < panel_count; ++axis) {
    const QRectF area = panel(axis);
    const ForceScale& scale = scales_[axis];
    for (int second = 0; second <= static_cast<int>(time_.span); ++second) {
      const double x = area.left() + area.width() * second / time_.span;
      painter.setPen(QPen(grid, 1.0));
      painter.drawLine(QPointF(x, area.top()), QPointF(x, area.bottom()));
    }
    double last_label = area.bottom() + letters.height();
    for (const double force : scale.lines()) {
      const double y = area.top() + scale.y(force) * area.height();
      painter.setPen(QPen(std::abs(force) < 1e-6 ? zero : grid, 1.0));
      painter.drawLine(QPointF(area.left(), y), QPointF(area.right(), y));
      if (last_label - y < letters.height() * 0.95 || y < area.top() + 0.3 * letters.height())
        continue;
      last_label = y;
      painter.setPen(look_.ink);
      const double shown = in_unit(force, force_, mass_);
      painter.drawText(QRectF(0.0, y - letters.height() / 2.0, area.left() - 5.0, letters.height()),
                       Qt::AlignRight | Qt::AlignVCenter,
                       force_ == ForceUnit::newton ? QString::number(std::round(shown), 'f', 0)
                                                   : QString::number(shown, 'g', 2));
    }
    painter.setPen(look_.faint);
    painter.drawText(area.adjusted(4.0, 1.0, 0.0, 0.0), Qt::AlignLeft | Qt::AlignTop,
                     QStringLiteral("%1 (%2)").arg(QLatin1String(titles[axis]), unit_text(force_)));
  }
  // The legend, lines as they are drawn below.
  double x = panel(0).left();
  const double middle = letters.height() / 2.0 + 1.0;
  for (const auto& [role, words] : {std::pair{Role::back_foot, QStringLiteral("back foot")},
                                    std::pair{Role::lead_foot, QStringLiteral("lead foot")}}) {
    painter.setPen(look_.pen(role, 2.0));
    painter.drawLine(QPointF(x, middle), QPointF(x + 34.0, middle));
    painter.setPen(look_.ink);
    painter.drawText(QPointF(x + 40.0, middle + letters.ascent() / 2.0 - 1.0), words);
    x += 40.0 + letters.horizontalAdvance(words) + 22.0;
  }
  painter.setPen(look_.faint);
  const QRectF right(x, 0.0, panel(0).right() - x, letters.height() + 2.0);
  painter.drawText(right, Qt::AlignRight | Qt::AlignVCenter,
                   QStringLiteral("%1 s across").arg(time_.span));
}

void SweepTraces::wipe(QPainter& painter, double from, double to) {
  const double ratio = ground_.devicePixelRatio();
  const auto strip = [&](double left, double right) {
    const QRectF target(std::floor(left), 0.0, std::ceil(right) - std::floor(left), height());
    painter.drawPixmap(target, ground_,
                       QRectF(target.topLeft() * ratio, QSizeF(target.size()) * ratio));
  };
  const QRectF area = panel(0);
  if (to - from >= time_.span) {
    painter.drawPixmap(QPointF(0.0, 0.0), ground_);
    return;
  }
  const double left = x_at(from), right = x_at(to);
  if (left <= right) {
    strip(left, right);
  } else {
    strip(left, area.right() + 4.0);
    strip(area.left(), right);
  }
}

double SweepTraces::draw(QPainter& painter, const drivers::LiveTrace& foot, Pen& pen,
                         double oldest) {
  const Role role = foot.role == session::PlateRole::back ? Role::back_foot : Role::lead_foot;
  const bool dashed = role == Role::lead_foot;
  painter.setPen(QPen(look_.colour(role), 1.6, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
  // A moment's place on the picture never changes, though the arrivals refine the clock.
  if (!pen.origin) pen.origin = foot.start - static_cast<double>(foot.first_bin) * foot.bin;
  const auto count = static_cast<std::int64_t>(foot.bins.size());
  if (foot.first_bin > pen.next_bin)
    for (auto& last : pen.last) last.reset();
  double earliest = newest_;
  std::array<QRectF, panel_count> areas;
  for (std::size_t axis = 0; axis < panel_count; ++axis) areas[axis] = panel(axis);
  for (std::int64_t k = std::max<std::int64_t>(0, pen.next_bin - foot.first_bin); k < count; ++k) {
    const drivers::LiveBin& bin = foot.bins[static_cast<std::size_t>(k)];
    const std::int64_t number = foot.first_bin + k;
    const double time = *pen.origin + (static_cast<double>(number) + 0.5) * foot.bin;
    if (time < oldest) continue;
    earliest = std::min(earliest, time);
    const double x = x_at(time);
    for (std::size_t axis = 0; axis < panel_count; ++axis) {
      const QRectF& area = areas[axis];
      std::optional<QPointF>& last = pen.last[axis];
      if (!std::isfinite(bin.force[axis])) {
        last.reset();
        continue;
      }
      const auto y = [&](float force) {
        return area.top() + scales_[axis].y(static_cast<double>(force)) * area.height();
      };
      const QPointF here(x, y(bin.force[axis]));
      const double least = y(bin.least[axis]), greatest = y(bin.greatest[axis]);
      if (last && last->x() <= x) {
        // A steep piece is drawn through the gaps, so that no peak is lost in one.
        const bool steep = std::abs(here.y() - last->y()) > 1.5;
        if (!dashed || steep || !in_dash_gap(number)) painter.drawLine(*last, here);
      }
      if (least - greatest > 2.0) painter.drawLine(QPointF(x, least), QPointF(x, greatest));
      last = here;
    }
  }
  pen.next_bin = std::max(pen.next_bin, foot.first_bin + count);
  return earliest;
}

void SweepTraces::draw_mark(QPainter& painter, const Mark& mark) {
  if (mark.time < newest_ - time_.span + 2.0 * time_.ahead) return;
  const double x = x_at(mark.time);
  const QRectF bottom = panel(panel_count - 1);
  painter.setPen(QPen(look_.colour(Role::event), 1.0));
  painter.drawLine(QPointF(x, panel(0).top()), QPointF(x, bottom.bottom()));
  painter.drawText(QPointF(x + 3.0, bottom.bottom() - 4.0), QString::number(mark.number));
}

void SweepTraces::redraw_between(double from, double to) {
  if (to - from >= time_.span) {
    update();
    return;
  }
  const int left = static_cast<int>(x_at(from)) - 3, right = static_cast<int>(x_at(to)) + 3;
  if (left <= right) {
    update(left, 0, right - left, height());
  } else {
    update(left, 0, width() - left, height());
    update(0, 0, right, height());
  }
}

void SweepTraces::take(const drivers::LiveFeet& feet) {
  since_.start();
  // The head goes on with the time, not with what came: an instrument that falls silent leaves a
  // gap behind it instead of a picture that stands still.
  double newest = std::max(newest_, feet.now);
  bool grown = false;
  for (const drivers::LiveTrace& foot : feet.traces) {
    if (foot.bins.empty()) continue;
    newest = std::max(newest, foot.time(foot.bins.size() - 1));
    for (const drivers::LiveBin& bin : foot.bins)
      for (std::size_t axis = 0; axis < panel_count; ++axis) {
        grown = scales_[axis].take(static_cast<double>(bin.greatest[axis])) || grown;
        grown = scales_[axis].take(static_cast<double>(bin.least[axis])) || grown;
      }
  }
  if (grown) {
    // The next frame has the whole picture drawn on the new scale.
    begin_anew();
    return;
  }
  if (ground_.isNull()) make_ground();
  const double before = newest_;
  newest_ = newest;
  QPainter painter;
  if (anew_) {
    canvas_ = ground_;
    for (Pen& pen : pens_) {
      pen.next_bin = 0;
      for (auto& last : pen.last) last.reset();
    }
    painter.begin(&canvas_);
  } else {
    if (newest_ <= before) return;
    painter.begin(&canvas_);
    wipe(painter, before + time_.ahead, newest_ + time_.ahead);
  }
  painter.setRenderHint(QPainter::Antialiasing);
  const double oldest = newest_ - time_.span + time_.ahead;
  double changed_from = before;
  for (const drivers::LiveTrace& foot : feet.traces)
    changed_from =
        std::min(changed_from,
                 draw(painter, foot, pens_[foot.role == session::PlateRole::back ? 0 : 1], oldest));
  if (anew_)
    for (const Mark& mark : marks_) draw_mark(painter, mark);
  painter.end();
  if (anew_)
    update();
  else
    redraw_between(changed_from - 0.05, newest_ + time_.ahead);  // with the line that led there
  anew_ = false;
}

void SweepTraces::mark_throw(double contact, int number) {
  constexpr std::size_t kept = 32;
  if (marks_.size() >= kept) marks_.erase(marks_.begin());
  marks_.push_back({contact, number});
  if (canvas_.isNull() || anew_) return;
  QPainter painter(&canvas_);
  draw_mark(painter, marks_.back());
  update();
}

void SweepTraces::paintEvent(QPaintEvent* event) {
  if (ground_.isNull()) make_ground();
  QPainter painter(this);
  const QPixmap& shown = anew_ || canvas_.isNull() ? ground_ : canvas_;
  const double ratio = shown.devicePixelRatio();
  for (const QRect& part : event->region())
    painter.drawPixmap(QRectF(part), shown,
                       QRectF(QPointF(part.topLeft()) * ratio, QSizeF(part.size()) * ratio));
}

void SweepTraces::resizeEvent(QResizeEvent*) { begin_anew(); }

}  // namespace moundwork::desk
