// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/relate/effect_chart.h"

#include <algorithm>
#include <cmath>

namespace moundwork::desk {

EffectChart::EffectChart(QWidget* parent) : QCustomPlot(parent) {
  setMinimumSize(200, 160);
  setAccessibleName(QStringLiteral("Effects with their 95 % intervals"));
}

void EffectChart::show_effects(const std::vector<ShownEffect>& effects, const QString& axis,
                               const Look& look) {
  clearPlottables();
  const auto names = QSharedPointer<QCPAxisTickerText>::create();
  const auto count = static_cast<double>(effects.size());
  double reach = 0.1;
  for (std::size_t i = 0; i < effects.size(); ++i) {
    const ShownEffect& effect = effects[i];
    const double row = count - static_cast<double>(i);
    names->addTick(row, effect.name);
    for (const double value : {effect.value, effect.low, effect.high})
      if (std::isfinite(value)) reach = std::max(reach, std::abs(value));
    const QColor colour = effect.shown ? look.colour(Role::back_foot) : look.ink;
    if (std::isfinite(effect.low) && std::isfinite(effect.high)) {
      auto* interval = new QCPCurve(xAxis, yAxis);
      interval->setData({effect.low, effect.high}, {row, row});
      interval->setPen(QPen(colour, effect.shown ? 2.2 : 1.2));
    }
    QCPGraph* mark = addGraph();
    mark->setData({effect.value}, {row});
    QCPScatterStyle style(effect.shown ? QCPScatterStyle::ssDisc : QCPScatterStyle::ssCircle, 8.0);
    style.setPen(QPen(colour, 1.6));
    mark->setScatterStyle(style);
    mark->setLineStyle(QCPGraph::lsNone);
  }
  yAxis->setTicker(names);
  yAxis->setRange(0.3, count + 0.7);
  yAxis->setSubTicks(false);
  yAxis->setTickLength(0);
  xAxis->setRange(-1.08 * reach, 1.08 * reach);
  xAxis->setLabel(axis);
  style_plot(*this, look);
  replot(QCustomPlot::rpQueuedReplot);
}

}  // namespace moundwork::desk
