// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/plot/station_drawing.h"

#include <QFontMetricsF>
#include <QPainter>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>
#include <vector>

#include "app/desk/kinds/list.h"
#include "core/base/sentence.h"
#include "core/session/plate_name.h"

namespace moundwork::desk {
namespace {

// The rubber is 24 in by 6 in (rules of the game, from memory).
constexpr double rubber_half_width = 0.305, rubber_depth = 0.152;

double degrees(double radians) { return radians * 180.0 / std::numbers::pi; }

/// What of the lab the drawing holds, m.
struct Field {
  Extent x{-0.35, 0.8}, y{-0.5, 0.5}, z{-0.12, 0.12};
};

Field field_of(const session::Session& station) {
  Field field;
  for (const session::Plate& plate : station.plates)
    for (const Eigen::Vector3d& corner : plate.description.corners) {
      field.x.take_in(corner.x() - 0.15);
      field.x.take_in(corner.x() + 0.25);
      field.y.take_in(corner.y() - 0.22);
      field.y.take_in(corner.y() + 0.22);
      field.z.take_in(corner.z() - 0.1);
      field.z.take_in(corner.z() + 0.1);
    }
  for (const ShownKind* kind : shown_kinds())
    if (kind->reach_side) kind->reach_side(station, field.x, field.z);
  return field;
}

/// Lab x to the right; lab y or z upward.
struct SiteView {
  double left = 0.0, middle_y = 0.0;  // screen: where x.low stands; where `middle` stands
  double low = 0.0, middle = 0.0;     // lab
  double scale = 1.0;                 // pixels a metre
  [[nodiscard]] QPointF at(double along, double up) const {
    return {left + scale * (along - low), middle_y - scale * (up - middle)};
  }
};

Extent along_of(const session::Plate& plate) {
  const auto& c = plate.description.corners;
  Extent extent{c[0].x(), c[0].x()};
  for (const Eigen::Vector3d& corner : c) extent.take_in(corner.x());
  return extent;
}

/// How far a plate reaches, as seen from above.
struct SidesOf {
  Extent x, y;
};

SidesOf sides_of(const session::Plate& plate) {
  const auto& c = plate.description.corners;
  SidesOf sides{along_of(plate), {c[0].y(), c[0].y()}};
  for (const Eigen::Vector3d& corner : c) sides.y.take_in(corner.y());
  return sides;
}

/// Angle by which a plate's surface falls toward home, rad.
double fall_of(const session::Plate& plate) {
  const auto frame = plate::plate_frame(plate.description);
  if (!frame) return 0.0;
  return std::atan2(frame->up.x(), frame->up.z());
}

/// Instruments that stand apart from the plates, a sentence each.
QStringList kinds_words(const session::Session& station) {
  QStringList words;
  for (const ShownKind* kind : shown_kinds()) words << kind->describe(station);
  return words;
}

class Drawing {
 public:
  Drawing(QPainter& painter, const Look& look) : painter_(painter), look_(look) {}

  void caption(const QRectF& box, const QString& words) {
    painter_.setPen(look_.faint);
    painter_.drawText(box.adjusted(caption_edge, 2.0, -caption_edge, 6.0), caption_flags, words);
  }
  /// What its words take in as many lines as they need.
  [[nodiscard]] double caption_height(double width, const QString& words) const {
    const QFontMetricsF metrics(painter_.font());
    return std::max(
        metrics.height(),
        metrics
            .boundingRect(QRectF(0.0, 0.0, width - 2.0 * caption_edge, 1e4), caption_flags, words)
            .height());
  }

  void words(QPointF middle, const QString& words, const QColor& ink) {
    const QFontMetricsF metrics(painter_.font());
    QRectF box(0.0, 0.0, metrics.horizontalAdvance(words) + 4.0, metrics.height());
    box.moveCenter(middle);
    QColor behind = look_.paper;
    behind.setAlphaF(0.85F);
    painter_.fillRect(box, behind);
    painter_.setPen(ink);
    painter_.drawText(box, Qt::AlignCenter, words);
  }

  /// A measure between two points that lie level or upright, with its ends marked.
  void measure(QPointF from, QPointF to, double length) {
    painter_.setPen(QPen(look_.faint, 1.0));
    painter_.drawLine(from, to);
    const QPointF along = to - from;
    const QPointF tick =
        std::abs(along.x()) > std::abs(along.y()) ? QPointF(0.0, 4.0) : QPointF(4.0, 0.0);
    painter_.drawLine(from - tick, from + tick);
    painter_.drawLine(to - tick, to + tick);
    // Off the middle, where the throwing line passes.
    words(from + 0.3 * along, metres(length), look_.ink);
  }

  void throwing_line(QPointF from, QPointF to) {
    painter_.setPen(look_.pen(Role::ball, 1.4));
    painter_.drawLine(from, to);
    painter_.setPen(QPen(look_.colour(Role::ball), 1.6));
    painter_.drawLine(to, to + QPointF(-9.0, -5.0));
    painter_.drawLine(to, to + QPointF(-9.0, 5.0));
  }

  void from_above(const session::Session& station, const SiteView& view, const Field& field) {
    painter_.setPen(QPen(look_.ink, 1.0));
    painter_.setBrush(look_.ink);
    painter_.drawRect(
        QRectF(view.at(-rubber_depth, rubber_half_width), view.at(0.0, -rubber_half_width)));
    for (const session::Plate& plate : station.plates) outline(plate, view);
    measures_from_above(station, view, field);
    for (std::size_t i = 0; i < station.plates.size(); ++i)
      plate_from_above(station.plates[i], session::plate_name(station, i), view);
    throwing_line(view.at(0.0, 0.0), view.at(field.x.high - 0.03, 0.0));
    words(view.at(field.x.high, 0.0) + QPointF(-26.0, -14.0), QStringLiteral("home"),
          look_.colour(Role::ball));
  }

  void from_the_side(const session::Session& station, const SiteView& view, const Field& field) {
    // The ground: level behind the rubber's front, then over the plates' tops.
    std::vector<QPointF> ground{{field.x.low, 0.0}, {0.0, 0.0}};
    for (const session::Plate& plate : station.plates) {
      const auto& corners = plate.description.corners;
      const Extent along = along_of(plate);
      for (const double edge : {along.low, along.high}) {
        double height = 0.0;
        int count = 0;
        for (const Eigen::Vector3d& corner : corners)
          if (std::abs(corner.x() - edge) < 0.25 * along.size()) {
            height += corner.z();
            ++count;
          }
        if (count > 0 && edge > 0.0) ground.emplace_back(edge, height / count);
      }
    }
    std::sort(ground.begin(), ground.end(),
              [](const QPointF& a, const QPointF& b) { return a.x() < b.x(); });
    ground.emplace_back(field.x.high, ground.back().y());
    QPolygonF line;
    for (const QPointF& point : ground) line << view.at(point.x(), point.y());
    painter_.setPen(QPen(look_.faint, 1.2));
    painter_.drawPolyline(line);
    painter_.setBrush(look_.ink);
    painter_.setPen(Qt::NoPen);
    painter_.drawRect(QRectF(view.at(-rubber_depth, 0.0), view.at(0.0, -0.05)));
    for (const session::Plate& plate : station.plates) plate_from_the_side(plate, view);
    for (const ShownKind* kind : shown_kinds())
      if (kind->draw_side) kind->draw_side(station, shown_in(view));
  }

  /// The whole way from the rubber to the instruments that stand apart.
  void the_way(const session::Session& station, const QRectF& box) {
    const QFontMetricsF metrics(painter_.font());
    Extent x{-1.0, 3.0}, y{-0.6, 0.6};
    for (const ShownKind* kind : shown_kinds()) kind->reach_way(station, x, y);
    const double ruler = metrics.height() + 8.0;
    SiteView view;
    view.scale = std::min((box.width() - 24.0) / x.size(), (box.height() - ruler) / y.size());
    view.left = box.center().x() - 0.5 * view.scale * x.size();
    view.low = x.low;
    view.middle_y = box.top() + 0.5 * (box.height() - ruler);
    view.middle = y.middle();
    for (const session::Plate& plate : station.plates) outline(plate, view);
    painter_.setPen(Qt::NoPen);
    painter_.setBrush(look_.ink);
    painter_.drawRect(
        QRectF(view.at(-rubber_depth, rubber_half_width), view.at(0.0, -rubber_half_width)));
    throwing_line(view.at(0.0, 0.0), view.at(x.high, 0.0));
    const double base = box.bottom() - ruler + 4.0;
    painter_.setPen(QPen(look_.faint, 1.0));
    painter_.drawLine(QPointF(view.at(0.0, 0.0).x(), base),
                      QPointF(view.at(x.high, 0.0).x(), base));
    for (double mark = 0.0; mark < x.high; mark += 5.0) {
      const double at = view.at(mark, 0.0).x();
      painter_.setPen(QPen(look_.faint, 1.0));
      painter_.drawLine(QPointF(at, base - 3.0), QPointF(at, base + 3.0));
      painter_.drawText(QRectF(at - 30.0, base + 3.0, 60.0, metrics.height()), Qt::AlignCenter,
                        QString::number(mark) + QStringLiteral(" m"));
    }
    for (const ShownKind* kind : shown_kinds()) kind->draw_way(station, shown_in(view));
  }

 private:
  [[nodiscard]] StationView shown_in(const SiteView& view) {
    return {painter_, look_, [view](double along, double across) { return view.at(along, across); },
            [this](QPointF middle, const QString& said, const QColor& ink) {
              words(middle, said, ink);
            }};
  }

  void outline(const session::Plate& plate, const SiteView& view) {
    QPolygonF shape;
    for (const Eigen::Vector3d& corner : plate.description.corners)
      shape << view.at(corner.x(), corner.y());
    const Role role = plate.role == session::PlateRole::back ? Role::back_foot : Role::lead_foot;
    QColor fill = look_.colour(role);
    fill.setAlphaF(look_.dark ? 0.25F : 0.15F);
    painter_.setBrush(fill);
    painter_.setPen(look_.pen(role, 1.6));
    painter_.drawPolygon(shape);
  }

  void plate_from_above(const session::Plate& plate, const std::string& name,
                        const SiteView& view) {
    const auto& corners = plate.description.corners;
    Eigen::Vector3d middle = Eigen::Vector3d::Zero();
    for (const Eigen::Vector3d& corner : corners) middle += 0.25 * corner;
    Extent y{corners[0].y(), corners[0].y()};
    for (std::size_t i = 0; i < 4; ++i) {
      y.take_in(corners[i].y());
      const Eigen::Vector3d inside = corners[i] + 0.16 * (middle - corners[i]);
      words(view.at(inside.x(), inside.y()), QString::number(i + 1), look_.ink);
    }
    // In the upper half, clear of the throwing line that mostly passes through the middle.
    name_within(view.at(middle.x(), middle.y() + 0.25 * y.size()), QString::fromStdString(name),
                0.62 * view.scale * along_of(plate).size());
  }

  /// A name in one line, or, in a plate that is too short for it, a line to a word.
  void name_within(QPointF middle, const QString& name, double width) {
    const QFontMetricsF metrics(painter_.font());
    const QStringList lines =
        metrics.horizontalAdvance(name) > width ? name.split(u' ') : QStringList{name};
    for (qsizetype i = 0; i < lines.size(); ++i)
      words(middle + QPointF(0.0, (static_cast<double>(i) -
                                   0.5 * static_cast<double>(lines.size() - 1)) *
                                      metrics.height()),
            lines[i], look_.ink);
  }

  /// Each plate's sides, and its way from the rubber, where no other plate lies in the way.
  void measures_from_above(const session::Session& station, const SiteView& view,
                           const Field& field) {
    std::vector<SidesOf> sides;
    for (const session::Plate& plate : station.plates) sides.push_back(sides_of(plate));
    // Room for the line and its words on either side of it, m.
    const double half = 0.6 * QFontMetricsF(painter_.font()).height() / view.scale;
    const auto free_along = [&](const Extent& x, double y) {
      return std::none_of(sides.begin(), sides.end(), [&](const SidesOf& one) {
        return one.x.low < x.high && one.x.high > x.low && one.y.low < y + half &&
               one.y.high > y - half;
      });
    };
    const auto free_across = [&](double x, const Extent& y) {
      return std::none_of(sides.begin(), sides.end(), [&](const SidesOf& one) {
        return one.y.low < y.high && one.y.high > y.low && one.x.low < x + half &&
               one.x.high > x - half;
      });
    };
    std::vector<double> from_rubber;
    for (const SidesOf& plate : sides) {
      for (const double y : {plate.y.low - 0.09, plate.y.high + 0.09})
        if (free_along(plate.x, y)) {
          measure(view.at(plate.x.low, y), view.at(plate.x.high, y), plate.x.size());
          break;
        }
      for (const double x : {plate.x.high + 0.09, plate.x.low - 0.09})
        if (free_across(x, plate.y)) {
          measure(view.at(x, plate.y.low), view.at(x, plate.y.high), plate.y.size());
          break;
        }
      // From the rubber's front to the near edge, where the plate does not reach up to it; of
      // plates side by side once.
      const auto same = [&](double other) { return std::abs(other - plate.x.low) < 0.005; };
      if (plate.x.low <= 0.1 || std::any_of(from_rubber.begin(), from_rubber.end(), same)) continue;
      const double above = std::min(plate.y.high + 0.12, field.y.high - 0.05) -
                           2.0 * half * static_cast<double>(from_rubber.size());
      if (!free_along({0.0, plate.x.low}, above) && !from_rubber.empty()) continue;
      measure(view.at(0.0, above), view.at(plate.x.low, above), plate.x.low);
      from_rubber.push_back(plate.x.low);
    }
  }

  void plate_from_the_side(const session::Plate& plate, const SiteView& view) {
    const Extent along = along_of(plate);
    const double fall = fall_of(plate);
    Eigen::Vector3d middle = Eigen::Vector3d::Zero();
    for (const Eigen::Vector3d& corner : plate.description.corners) middle += 0.25 * corner;
    const double half = 0.5 * along.size();
    const QPointF from = view.at(along.low, middle.z() + half * std::tan(fall));
    const QPointF to = view.at(along.high, middle.z() - half * std::tan(fall));
    const Role role = plate.role == session::PlateRole::back ? Role::back_foot : Role::lead_foot;
    painter_.setPen(QPen(look_.colour(role), 4.0,
                         role == Role::back_foot ? Qt::SolidLine : Qt::DashLine, Qt::FlatCap));
    painter_.drawLine(from, to);
    side_words(0.5 * (from + to), QStringLiteral("%1, falls %2°")
                                      .arg(metres(middle.z()))
                                      .arg(degrees(fall), 0, 'f', 1)
                                      .replace(u'-', QStringLiteral("−")));
  }

  /// Under what they are about; plates that are seen behind one another say it in lines of their
  /// own, or once where they say the same.
  void side_words(QPointF middle, const QString& said) {
    const QFontMetricsF metrics(painter_.font());
    QRectF box(0.0, 0.0, metrics.horizontalAdvance(said) + 4.0, metrics.height());
    box.moveCenter(middle + QPointF(0.0, 1.1 * metrics.height()));
    const auto taken = [&](const auto& other) { return other.first.intersects(box); };
    for (auto other = std::find_if(said_.begin(), said_.end(), taken); other != said_.end();
         other = std::find_if(said_.begin(), said_.end(), taken)) {
      if (other->second == said) return;
      box.moveTop(other->first.bottom());
    }
    said_.emplace_back(box, said);
    words(box.center(), said, look_.ink);
  }

  static constexpr double caption_edge = 8.0;
  static constexpr int caption_flags = Qt::AlignLeft | Qt::AlignTop | Qt::TextWordWrap;
  QPainter& painter_;
  const Look& look_;
  std::vector<std::pair<QRectF, QString>> said_;  // beside plates from the side
};

}  // namespace

StationDrawing::StationDrawing(const Look& look, QWidget* parent) : QWidget(parent), look_(look) {
  setAccessibleName(QStringLiteral("Station to scale"));
  setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Expanding);
}

void StationDrawing::show_station(std::optional<session::Session> station) {
  station_ = std::move(station);
  QStringList lines;
  if (station_) {
    for (std::size_t i = 0; i < station_->plates.size(); ++i)
      lines << QString::fromStdString(
          sentence("{plate}: {place}", "plate"_is(session::plate_name(*station_, i)),
                   "place"_is(plate_words(station_->plates[i]).toStdString())));
    lines << kinds_words(*station_);
  }
  setAccessibleDescription(lines.join(QStringLiteral("; ")));
  update();
}

void StationDrawing::set_look(const Look& look) {
  look_ = look;
  update();
}

void StationDrawing::paintEvent(QPaintEvent* /*event*/) {
  QPainter painter(this);
  painter.setRenderHint(QPainter::Antialiasing);
  painter.fillRect(rect(), look_.paper);
  Drawing drawing(painter, look_);
  if (!station_) {
    drawing.words(QRectF(rect()).center(), QStringLiteral("No station yet"), look_.faint);
    return;
  }
  const double line = QFontMetricsF(font()).height();
  const double way_height = std::clamp(0.2 * height(), 3.6 * line, 6.0 * line);
  const Field field = field_of(*station_);
  const QStringList apart = kinds_words(*station_);
  const QString way_words = apart.isEmpty() ? QStringLiteral("The way to home; no radar")
                                            : apart.join(QStringLiteral("; "));
  const double way_caption = drawing.caption_height(width(), way_words) + 4.0;
  const double high = height() - way_height - (line + 4.0) - way_caption;
  const double scale =
      std::min((width() - 24.0) / field.x.size(), high / (field.y.size() + field.z.size()));
  SiteView above;
  above.scale = scale;
  above.left = 0.5 * (width() - scale * field.x.size());
  above.low = field.x.low;
  above.middle = field.y.middle();
  const double above_height = high * field.y.size() / (field.y.size() + field.z.size());
  above.middle_y = line + 4.0 + 0.5 * above_height;
  SiteView side = above;
  side.middle = field.z.middle();
  side.middle_y = line + 4.0 + above_height + 0.5 * (high - above_height);
  drawing.from_above(*station_, above, field);
  drawing.from_the_side(*station_, side, field);
  const QRectF way(0.0, height() - way_height, width(), way_height);
  drawing.the_way(*station_, way);
  painter.setPen(QPen(look_.faint, 0.5));
  painter.drawLine(QPointF(0.0, line + 4.0 + above_height),
                   QPointF(width(), line + 4.0 + above_height));
  painter.drawLine(QPointF(0.0, way.top() - way_caption),
                   QPointF(width(), way.top() - way_caption));
  drawing.caption(QRectF(0.0, 0.0, width(), line),
                  QStringLiteral("From above; first-base side at the top"));
  drawing.caption(QRectF(0.0, line + 4.0 + above_height, width(), line),
                  QStringLiteral("From the third-base side; same scale"));
  drawing.caption(QRectF(0.0, way.top() - way_caption, width(), way_caption - 4.0), way_words);
}

QString plate_words(const session::Plate& plate) {
  const Extent along = along_of(plate);
  Extent across{plate.description.corners[0].y(), plate.description.corners[0].y()};
  for (const Eigen::Vector3d& corner : plate.description.corners) across.take_in(corner.y());
  return QStringLiteral("%1 long, %2 wide, from %3 to %4, falls %5°")
      .arg(metres(along.size()), metres(across.size()), metres(along.low), metres(along.high))
      .arg(degrees(fall_of(plate)), 0, 'f', 1);
}

}  // namespace moundwork::desk
