// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/plot/foot_picture.h"

#include <QFontMetricsF>
#include <QPainter>
#include <QPainterPath>
#include <algorithm>
#include <cmath>
#include <utility>

#include "app/desk/plot/foot_shape.h"

namespace moundwork::desk {
namespace {

constexpr double dot_every = 0.1;  // s

bool known(const QPointF& point) { return std::isfinite(point.x()) && std::isfinite(point.y()); }

/// Lab metres to the screen: x (home) upward, y (first-base side) to the left.
struct View {
  QPointF middle;  // lab
  QPointF centre;  // screen
  double scale = 1.0;

  [[nodiscard]] QPointF at(const QPointF& lab) const {
    return {centre.x() - scale * (lab.y() - middle.y()),
            centre.y() - scale * (lab.x() - middle.x())};
  }
  [[nodiscard]] QPolygonF at(const QPolygonF& lab) const {
    QPolygonF screen;
    for (const QPointF& point : lab) screen << at(point);
    return screen;
  }
};

QPolygonF plate_outline(const std::array<Eigen::Vector3d, 4>& plate) {
  QPolygonF outline;
  for (const Eigen::Vector3d& corner : plate) outline << QPointF(corner.x(), corner.y());
  return outline;
}

/// Lab rectangle that must be seen. Fixed by foot or plate, so that the picture does not jump about
/// with the path; the path alone decides only where there is neither.
QRectF shown_part(const FootScene& scene, bool close) {
  QRectF part;
  if (scene.foot && close) {
    const QRectF sole = sole_outline(*scene.foot).boundingRect();
    const double margin = 0.16 * std::max(sole.width(), sole.height());
    return sole.adjusted(-margin, -margin, margin, margin);
  }
  if (!scene.plates.empty()) {
    for (const auto& plate : scene.plates) part |= plate_outline(plate).boundingRect();
    if (scene.foot) part |= sole_outline(*scene.foot).boundingRect();
  } else {
    QPolygonF path;
    for (const PressurePoint& point : scene.path)
      if (known(point.at)) path << point.at;
    part = path.boundingRect();
  }
  constexpr double least = 0.2;  // m
  const QPointF middle = part.center();
  const double width = 1.1 * std::max(least, part.width());
  const double height = 1.1 * std::max(least, part.height());
  return {middle.x() - 0.5 * width, middle.y() - 0.5 * height, width, height};
}

View view_of(const QRectF& lab, const QRectF& screen) {
  // Lab x runs along the screen's height.
  return {lab.center(), screen.center(),
          std::min(screen.width() / lab.height(), screen.height() / lab.width())};
}

class Painting {
 public:
  Painting(QPainter& painter, const Look& look, const View& view, QRectF field)
      : painter_(painter), look_(look), view_(view), field_(field) {}

  void plates(const FootScene& scene) {
    painter_.setPen(QPen(look_.faint, 1.2));
    painter_.setBrush(look_.panel);
    for (const auto& plate : scene.plates) painter_.drawPolygon(view_.at(plate_outline(plate)));
  }

  void foot(const FootScene& scene) {
    if (!scene.foot) return;
    const session::FootLine& line = *scene.foot;
    QColor fill = look_.colour(Role::back_foot);
    fill.setAlphaF(look_.dark ? 0.22F : 0.14F);
    painter_.setBrush(fill);
    painter_.setPen(QPen(look_.colour(Role::back_foot), 1.6,
                         scene.foot_is_a_guess ? Qt::DotLine : Qt::SolidLine));
    QPainterPath sole;
    sole.addPolygon(view_.at(sole_outline(line)));
    painter_.drawPath(sole);
    scale(line);
  }

  void path(const FootScene& scene) {
    if (scene.path.empty()) return;
    const double first = scene.path.front().time;
    const double span = std::max(1e-9, scene.path.back().time - first);
    double next_dot = std::ceil(first / dot_every) * dot_every;
    for (std::size_t i = 0; i < scene.path.size(); ++i) {
      const PressurePoint& point = scene.path[i];
      QColor ink = look_.ink;
      ink.setAlphaF(static_cast<float>(0.25 + 0.75 * (point.time - first) / span));
      if (i > 0 && known(point.at) && known(scene.path[i - 1].at)) {
        painter_.setPen(QPen(ink, 2.0, Qt::SolidLine, Qt::RoundCap));
        painter_.drawLine(view_.at(scene.path[i - 1].at), view_.at(point.at));
      }
      if (point.time < next_dot) continue;
      while (next_dot <= point.time) next_dot += dot_every;
      if (!known(point.at)) continue;
      painter_.setPen(Qt::NoPen);
      painter_.setBrush(ink);
      painter_.drawEllipse(view_.at(point.at), 2.6, 2.6);
    }
  }

  void marks(const FootScene& scene) {
    for (const FootMark& mark : scene.marks) {
      if (!known(mark.at)) continue;
      const QPointF at = view_.at(mark.at);
      painter_.setPen(QPen(look_.ink, 1.6));
      painter_.setBrush(look_.paper);
      painter_.drawEllipse(at, 5.0, 5.0);
      label(at + QPointF(9.0, -9.0), mark.words, Qt::AlignLeft);
    }
  }

  void now(const FootScene& scene) {
    if (!scene.now || !known(*scene.now)) return;
    const QPointF at = view_.at(*scene.now);
    painter_.setBrush(look_.colour(Role::lead_foot));
    painter_.setPen(QPen(look_.paper, 2.0));
    painter_.drawEllipse(at, 8.0, 8.0);
    painter_.setPen(QPen(look_.ink, 1.2));
    painter_.setBrush(Qt::NoBrush);
    painter_.drawEllipse(at, 9.0, 9.0);
  }

  /// Words with paper behind them, inside the picture.
  void label(QPointF at, const QString& words, Qt::AlignmentFlag side) {
    const QFontMetricsF metrics(painter_.font());
    QRectF box(at.x(), at.y() - 0.5 * metrics.height(), metrics.horizontalAdvance(words) + 4.0,
               metrics.height());
    if (side == Qt::AlignHCenter) box.moveLeft(at.x() - 0.5 * box.width());
    if (box.right() > field_.right()) box.moveRight(field_.right());
    if (box.left() < field_.left()) box.moveLeft(field_.left());
    if (box.bottom() > field_.bottom()) box.moveBottom(field_.bottom());
    if (box.top() < field_.top()) box.moveTop(field_.top());
    QColor behind = look_.paper;
    behind.setAlphaF(0.8F);
    painter_.fillRect(box, behind);
    painter_.setPen(look_.ink);
    painter_.drawText(box, Qt::AlignCenter, words);
  }

 private:
  /// Heel, quarters, toe along the foot's line.
  void scale(const session::FootLine& line) {
    const QPointF heel(line.heel.x(), line.heel.y()), toe(line.toe.x(), line.toe.y());
    const QPointF across(-(toe - heel).y(), (toe - heel).x());
    painter_.setPen(QPen(look_.faint, 1.0, Qt::DashLine));
    painter_.drawLine(view_.at(heel), view_.at(toe));
    painter_.setPen(QPen(look_.faint, 1.2));
    for (int quarter = 0; quarter <= 4; ++quarter) {
      const QPointF at = heel + 0.25 * quarter * (toe - heel);
      const double half = quarter % 2 == 0 ? 0.06 : 0.03;
      painter_.drawLine(view_.at(at - half * across), view_.at(at + half * across));
    }
    // On the rubber's side of the line, which the path of a drive leaves free.
    QPointF rubber = across.x() > 0.0 ? -across : across;
    for (const auto& [share, words] :
         {std::pair{0.0, QStringLiteral("heel 0")}, std::pair{0.5, QStringLiteral("50")},
          std::pair{1.0, QStringLiteral("toe 100 %")}})
      label(view_.at(heel + share * (toe - heel) + 0.11 * rubber), words, Qt::AlignHCenter);
  }

  QPainter& painter_;
  const Look& look_;
  const View& view_;
  QRectF field_;
};

}  // namespace

std::vector<std::array<Eigen::Vector3d, 4>> back_plate_corners(const session::Session& session) {
  std::vector<std::array<Eigen::Vector3d, 4>> plates;
  for (const session::Plate& plate : session.plates)
    if (plate.role == session::PlateRole::back) plates.push_back(plate.description.corners);
  return plates;
}

FootPicture::FootPicture(const Look& look, QWidget* parent) : QWidget(parent), look_(look) {
  setAccessibleName(QStringLiteral("Foot from above"));
  setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Expanding);
}

void FootPicture::show_scene(FootScene scene) {
  scene_ = std::move(scene);
  // Screen readers hear of a change only, not of every frame.
  if (const QString words = pressure_words(scene_); words != accessibleDescription())
    setAccessibleDescription(words);
  update();
}

void FootPicture::set_look(const Look& look) {
  look_ = look;
  update();
}

void FootPicture::set_close(bool close) {
  close_ = close;
  update();
}

QSize FootPicture::sizeHint() const { return {360, 260}; }

QSize FootPicture::minimumSizeHint() const { return {200, 150}; }

void FootPicture::paintEvent(QPaintEvent* /*event*/) {
  QPainter painter(this);
  painter.setRenderHint(QPainter::Antialiasing);
  painter.fillRect(rect(), look_.paper);
  const double line = QFontMetricsF(font()).height();
  const QRectF all = rect();
  const QRectF field = all.adjusted(6.0, line + 6.0, -6.0, -6.0);
  const View view = view_of(shown_part(scene_, close_), field);
  painter.setClipRect(all);
  Painting painting(painter, look_, view, field);
  painting.plates(scene_);
  painting.foot(scene_);
  painting.path(scene_);
  painting.marks(scene_);
  painting.now(scene_);
  // Which way is which: once, at the top edge.
  const QRectF top(8.0, 3.0, all.width() - 16.0, line);
  painter.setPen(look_.faint);
  painter.drawText(top, Qt::AlignHCenter, QStringLiteral("↑ home"));
  const QFontMetricsF metrics(font());
  const QString first = QStringLiteral("first-base side"),
                third = QStringLiteral("third-base side");
  if (metrics.horizontalAdvance(first + third + QStringLiteral("    ↑ home    ")) < top.width()) {
    painter.drawText(top, Qt::AlignLeft, first);
    painter.drawText(top, Qt::AlignRight, third);
  }
}

QString pressure_words(const FootScene& scene) {
  if (!scene.now || !known(*scene.now)) return QStringLiteral("no pressure");
  if (!scene.foot) return QStringLiteral("pressure on the plate");
  return QStringLiteral("%1 % from heel to toe")
      .arg(std::lround(along_foot(*scene.foot, *scene.now)));
}

}  // namespace moundwork::desk
