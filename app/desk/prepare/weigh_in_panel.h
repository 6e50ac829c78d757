// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QElapsedTimer>
#include <QTimer>
#include <QWidget>
#include <array>
#include <memory>
#include <optional>

#include "app/desk/jobs/jobs.h"
#include "app/desk/prepare/roster_history.h"
#include "app/desk/prepare/weigh_in_steps.h"
#include "app/desk/state/desk_state.h"
#include "drivers/recorder/live_view.h"
#include "drivers/recorder/short_recording.h"
#include "drivers/station/station.h"

class QLabel;
class QPushButton;

namespace moundwork::desk {

class FootPicture;
class Notice;

/// Body mass and the back foot's line, from stands on the plates that are seen as they happen.
class WeighInPanel : public QWidget {
  Q_OBJECT
 public:
  WeighInPanel(DeskState& state, Jobs& jobs, RosterHistory& history, QWidget* parent = nullptr);

  [[nodiscard]] bool runs() const { return view_ != nullptr || starting_; }
  /// How the athlete at hand stands: "78.4 kg, foot known", "not today yet".
  [[nodiscard]] QString standing() const;

 Q_SIGNALS:
  void standing_changed();

 private:
  void begin();
  void begin_with(Result<std::unique_ptr<drivers::ShortRecording>> recording);
  void take();
  void keep();
  void drop();
  void end();
  void show_state();
  void show_live();
  [[nodiscard]] std::optional<session::FootLine> shown_foot() const;

  DeskState& state_;
  Jobs& jobs_;
  RosterHistory& history_;
  drivers::Station station_;
  std::unique_ptr<drivers::ShortRecording> recording_;
  std::unique_ptr<drivers::LiveView> view_;  // after what it looks into, so gone before it
  bool starting_ = false;
  std::optional<WeighInSteps> steps_;
  std::string athlete_;  // who is weighed; the turn may change meanwhile
  QElapsedTimer since_;  // the step at hand began
  QTimer timer_;
  std::array<QLabel*, 4> marks_{};
  QLabel* who_;
  QLabel* task_;
  QLabel* weight_;
  QLabel* found_;
  Notice* remark_;
  FootPicture* picture_;
  QLabel* position_;
  QPushButton* begin_;
  QPushButton* take_;
  QPushButton* back_;
  QPushButton* mass_only_;
  QPushButton* end_;
  QPushButton* drop_;
};

}  // namespace moundwork::desk
