// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/desk/jobs/jobs.h"
#include "app/desk/page/page.h"
#include "app/desk/relate/relation_table.h"
#include "app/desk/state/desk_state.h"

class QCheckBox;
class QComboBox;
class QLabel;
class QPushButton;
class QTabWidget;
class QTableWidget;

namespace moundwork::desk {

class EffectChart;
class Notice;
class ScatterPlot;

/// What goes with ball speed: of one athlete or of the lab, of a cue, and since the last session.
class RelatePage : public Page {
  Q_OBJECT
 public:
  RelatePage(DeskState& state, Jobs& jobs, QWidget* parent = nullptr);
  [[nodiscard]] QString title() const override { return QStringLiteral("Relate"); }
  [[nodiscard]] QString hint() const override;

 protected:
  void showEvent(QShowEvent* event) override;

 private:
  void lay_out();
  void ask();  ///< computes again when what is asked or what is there has changed
  void take(Result<RelateAnswer> answer);
  void show_answer();
  void show_relation();
  void show_cue();
  void show_change();
  void open_row(int row);
  void list_changed();
  void list_retests();
  void name_retest();  ///< or take the name away, as the button says

  DeskState& state_;
  Jobs& jobs_;
  QComboBox* scope_;
  QComboBox* cue_;
  QTableWidget* table_;
  ScatterPlot* scatter_;
  QLabel* says_;
  QTabWidget* beside_;
  EffectChart* effects_;
  EffectChart* cue_effects_;
  QLabel* cue_says_;
  QTableWidget* change_;
  QComboBox* change_of_;
  QCheckBox* only_beyond_;
  QLabel* change_says_;
  QComboBox* retest_of_;
  QPushButton* retest_;
  Notice* remark_;
  std::optional<RelateAnswer> answer_;
  SpeedUnit answer_speed_ = SpeedUnit::metre_per_second;
  std::vector<std::size_t> order_;
  std::optional<std::string> asked_retest_;  ///< which session the open one repeated when asked
  bool stale_ = true;
  bool asking_ = false;
  bool filling_ = false;
};

}  // namespace moundwork::desk
