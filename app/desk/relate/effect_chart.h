// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <qcustomplot.h>

#include <vector>

#include "app/desk/look/look.h"

namespace moundwork::desk {

/// One line of an effect chart.
struct ShownEffect {
  QString name;
  double value = 0.0, low = 0.0, high = 0.0;
  bool shown = false;  ///< beyond chance: filled mark; otherwise open
};

/// Effects under each other with their intervals, 0 as an upright line.
class EffectChart : public QCustomPlot {
  Q_OBJECT
 public:
  explicit EffectChart(QWidget* parent = nullptr);
  void show_effects(const std::vector<ShownEffect>& effects, const QString& axis, const Look& look);
};

}  // namespace moundwork::desk
