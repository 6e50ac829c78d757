// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>

#include "app/desk/jobs/jobs.h"
#include "app/desk/page/page.h"
#include "app/desk/state/desk_state.h"

class QPushButton;
class QStackedWidget;

namespace moundwork::desk {

class ChecksPanel;
class Notice;
class RosterHistory;
class RosterPanel;
class StationPanel;
class WeighInPanel;

/// Before anyone throws: four things in a column, each saying how it stands, and the one at hand
/// beside it.
class PreparePage : public Page {
  Q_OBJECT
 public:
  PreparePage(DeskState& state, Jobs& jobs, QWidget* parent = nullptr);
  [[nodiscard]] QString title() const override { return QStringLiteral("Prepare"); }
  [[nodiscard]] QString hint() const override;
  [[nodiscard]] QUndoStack* undo_stack() override { return &undo_; }
  [[nodiscard]] QString busy_with() const override;

  enum Part { athletes, station, checks, weigh_in };
  static constexpr int part_count = 4;
  void show_part(Part part);

  [[nodiscard]] RosterPanel& roster_panel() { return *roster_; }
  [[nodiscard]] StationPanel& station_panel() { return *station_; }
  [[nodiscard]] ChecksPanel& checks_panel() { return *checks_; }
  [[nodiscard]] WeighInPanel& weigh_in_panel() { return *weigh_in_; }

 private:
  void show_standing();

  DeskState& state_;
  QUndoStack undo_;
  // Before the panels, so that Tab comes to them first.
  std::array<QPushButton*, part_count> parts_;
  RosterHistory* history_;
  RosterPanel* roster_;
  StationPanel* station_;
  ChecksPanel* checks_;
  WeighInPanel* weigh_in_;
  QStackedWidget* stack_;
  Notice* unsaved_;
};

}  // namespace moundwork::desk
