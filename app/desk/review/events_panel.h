// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QTableWidget>
#include <QWidget>
#include <optional>

#include "core/pitch/analysed_throw.h"

class QDoubleSpinBox;

namespace moundwork::desk {

/// The events of a throw in ms from lead contact, and a field that puts the chosen one elsewhere.
class EventsPanel : public QWidget {
  Q_OBJECT
 public:
  explicit EventsPanel(QWidget* parent = nullptr);

  void show_throw(const pitch::AnalysedThrow& found, const pitch::AnalysedThrow& now, bool moved);
  void show_nothing();
  void choose(std::optional<definitions::Event> event);

 Q_SIGNALS:
  /// Events go by their place in the catalogue: Qt cannot carry an enumeration as wide as a size.
  void event_chosen(int event);
  /// Typed in; session time, s.
  void event_placed(int event, double time);

 private:
  void show_in_field();

  QTableWidget* table_;
  QDoubleSpinBox* field_;
  definitions::EventTimes now_{};
  std::optional<definitions::Event> chosen_;
  bool filling_ = false;
};

}  // namespace moundwork::desk
