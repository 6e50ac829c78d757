// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

#include "app/desk/capture/live_day.h"
#include "app/desk/capture/next_athlete.h"
#include "app/desk/capture/pitch_load.h"
#include "app/desk/state/desk_state.h"

class QComboBox;
class QLabel;
class QPushButton;

namespace moundwork::desk {

/// The line on top of the page Throw: whose turn it is, the button that begins and ends, how the
/// recording stands. Chooses the athlete; all else it only tells.
class RecordingBar : public QWidget {
  Q_OBJECT
 public:
  explicit RecordingBar(DeskState& state, QWidget* parent = nullptr);

  /// `preparing`: practice is being invented.
  void show_status(const LiveDay& day, bool preparing);
  void show_load(const LoadWords& said);
  void show_next(const NextAthlete& next);
  [[nodiscard]] QPushButton& practise_button() { return *practise_; }

 Q_SIGNALS:
  void start_or_end();
  void practise();
  void zero();

 private:
  void show_athletes();

  DeskState& state_;
  QComboBox* athlete_;
  QPushButton* start_;
  QPushButton* practise_;
  QPushButton* zero_;
  QLabel* ready_;  // what is missing for a good recording
  QLabel* elapsed_;
  QLabel* lost_;
  QLabel* disk_;
  QLabel* load_;
};

}  // namespace moundwork::desk
