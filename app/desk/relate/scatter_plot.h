// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <qcustomplot.h>

#include <vector>

#include "app/desk/look/look.h"

namespace moundwork::desk {

/// One pitch as a point. Values as shown.
struct ScatterPoint {
  double x = 0.0, y = 0.0;
  int group = 0;  ///< of the athlete
  int row = 0;    ///< of the pitches
};

/// Ball speed against a quantity, a mark for each athlete and a line inside each; a click or Enter
/// on a point asks for its throw.
class ScatterPlot : public QCustomPlot {
  Q_OBJECT
 public:
  explicit ScatterPlot(QWidget* parent = nullptr);

  /// `slope`: shown units, common to all athletes; NaN draws no lines.
  void show_points(std::vector<ScatterPoint> points, const QStringList& groups, double slope,
                   const QString& x_label, const QString& y_label, const Look& look);

 Q_SIGNALS:
  void row_wanted(int row);

 protected:
  void mousePressEvent(QMouseEvent* event) override;
  void mouseMoveEvent(QMouseEvent* event) override;
  void keyPressEvent(QKeyEvent* event) override;

 private:
  [[nodiscard]] int nearest(const QPointF& position) const;  // -1: none near
  void choose(int point);

  std::vector<ScatterPoint> points_;
  QCPItemEllipse* ring_;
  int chosen_ = -1;
};

}  // namespace moundwork::desk
