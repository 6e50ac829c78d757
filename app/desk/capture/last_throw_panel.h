// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QLabel>
#include <QWidget>
#include <array>

#include "app/desk/capture/next_athlete.h"
#include "app/desk/state/preferences.h"
#include "core/session/results.h"

class QGridLayout;

namespace moundwork::desk {

/// Ball speed, large enough to be read from the mound, and five numbers of the same throw with
/// their standard uncertainties.
class LastThrowPanel : public QWidget {
  Q_OBJECT
 public:
  explicit LastThrowPanel(QWidget* parent = nullptr);
  /// `thrown` may be null: dashes then.
  void show_throw(const session::ResultThrow* thrown, const Preferences& preferences, double mass);
  /// While nothing is recorded: who throws next.
  void show_next(const NextAthlete& next);

 private:
  static constexpr std::size_t count = 5;
  QLabel* which_;
  QLabel* speed_;
  QLabel* next_;  // in the place of the speed
  QLabel* speed_words_;
  std::array<QLabel*, count> values_{};
};

}  // namespace moundwork::desk
