// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QTableWidget>

#include "app/desk/state/preferences.h"
#include "core/pitch/analysed_throw.h"

namespace moundwork::desk {

/// Every quantity of a throw: as found, and as it is with the events where they stand now.
class NumbersPanel : public QTableWidget {
  Q_OBJECT
 public:
  explicit NumbersPanel(QWidget* parent = nullptr);

  /// `moved`: whether a person moved an event, so that `now` differs from `found`.
  void show_throw(const pitch::AnalysedThrow& found, const pitch::AnalysedThrow& now, bool moved,
                  const Preferences& preferences, double mass);
  /// While an event is being dragged: values without uncertainties, in the second column.
  void follow(const definitions::QuantityValues& values, const Preferences& preferences,
              double mass);
  void show_nothing();
};

}  // namespace moundwork::desk
