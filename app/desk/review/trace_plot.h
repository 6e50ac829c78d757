// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <qcustomplot.h>

#include <QPointer>
#include <array>
#include <optional>
#include <vector>

#include "app/desk/look/look.h"
#include "app/desk/review/throw_traces.h"

namespace moundwork::desk {

/// A throw as the plot draws it.
struct PlottedThrow {
  int number = 0;
  ThrowTraces traces;
  std::vector<PlateTraces> plates = {};  ///< single ones, of a throw that is drawn alone
};

/// An upright line on the plot: an event with its uncertainty, or a mark by frame.
struct PlotMarker {
  int id = 0;
  QString name;
  double time = 0.0;  ///< s from where throws are laid over each other
  double u = 0.0;     ///< s, drawn as a band of twice this to either side
  bool movable = true;
  bool moved = false;  ///< a person put it there
  Role role = Role::event;
};

/// Forces and heel-to-toe position over time, one strip under the other, with events that can be
/// dragged or moved by keys. Knows nothing of sessions.
class TracePlot : public QCustomPlot {
  Q_OBJECT
 public:
  explicit TracePlot(QWidget* parent = nullptr);

  /// The first throw is drawn in the feet's own colours when it is alone, all in one colour each
  /// otherwise.
  void set_throws(const std::vector<PlottedThrow>& throws, const Look& look,
                  const QString& force_unit);
  void set_markers(std::vector<PlotMarker> markers, const Look& look);
  void set_origin_name(const QString& name);  ///< "lead contact"
  void choose_marker(std::optional<int> id);
  [[nodiscard]] std::optional<int> chosen_marker() const { return chosen_; }
  [[nodiscard]] const std::vector<PlotMarker>& markers() const { return markers_; }
  void show_all();  ///< the view of a whole throw

 Q_SIGNALS:
  void marker_chosen(int id);
  void marker_dragged(int id, double time);  ///< while the button is down
  void marker_dropped(int id, double time);  ///< let go, or moved by a key

 protected:
  void mousePressEvent(QMouseEvent* event) override;
  void mouseMoveEvent(QMouseEvent* event) override;
  void mouseReleaseEvent(QMouseEvent* event) override;
  void keyPressEvent(QKeyEvent* event) override;
  void resizeEvent(QResizeEvent* event) override;

 private:
  struct Drawn {
    std::vector<QPointer<QCPItemStraightLine>> lines;
    std::vector<QPointer<QCPItemRect>> bands;
    QPointer<QCPItemText> label;
  };
  void add_plates(const std::vector<PlateTraces>& plates);
  void add_line(Strip strip, const TraceLine& line, const QPen& pen, const QString& name);
  void draw_markers();
  void place_labels();
  void fit_values();
  [[nodiscard]] std::optional<int> marker_at(const QPointF& position) const;
  [[nodiscard]] PlotMarker* find(int id);
  [[nodiscard]] QCPAxisRect& strip(Strip which) {
    return *strips_[static_cast<std::size_t>(which)];
  }

  QCPAxisRect* lane_;  // where events' names stand
  std::array<QCPAxisRect*, strip_count> strips_{};
  std::vector<PlotMarker> markers_;
  std::vector<Drawn> drawn_;
  Look look_;
  std::optional<int> chosen_;
  bool dragging_ = false;
  double grabbed_ = 0.0;  // s between the mouse and the marker when it was taken
};

}  // namespace moundwork::desk
