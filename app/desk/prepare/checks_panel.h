// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QTimer>
#include <QWidget>
#include <memory>
#include <vector>

#include "app/desk/jobs/jobs.h"
#include "app/desk/prepare/check_files.h"
#include "app/desk/prepare/station_check.h"
#include "app/desk/state/desk_state.h"

class QComboBox;
class QLabel;
class QLineEdit;
class QPushButton;
class QTableWidget;

namespace moundwork::desk {

class Notice;

/// The station's checks: run from here, with the last result of each and its date.
class ChecksPanel : public QWidget {
  Q_OBJECT
 public:
  ChecksPanel(DeskState& state, Jobs& jobs, QWidget* parent = nullptr);

  /// How the station stands: "all passed", "2 of 14 failed", "not checked yet".
  [[nodiscard]] QString standing() const;
  /// s that each check records.
  void set_duration(double duration) { duration_ = duration; }

 Q_SIGNALS:
  void results_changed();

 private:
  [[nodiscard]] Result<StationCheck> asked(CheckKind kind) const;
  void run(CheckKind kind);
  void take(CheckKind kind, const Result<drivers::CheckSheet>& sheet);
  void show_running();
  void show_ended();
  void reload();
  void show_results();
  void name_plates(const session::Session* station);  // null: as every lab has them
  void name_points();
  [[nodiscard]] drivers::PlateChoice chosen_plate() const;

  DeskState& state_;
  Jobs& jobs_;
  double duration_ = 10.0;
  std::vector<KeptCheckLine> results_;
  std::shared_ptr<JobControl> control_;  // of the check that runs; null when none
  CheckKind running_ = CheckKind::rates;
  QTimer clock_;
  // Of each check.
  std::vector<QPushButton*> run_;
  std::vector<QLabel*> last_;
  std::vector<std::vector<QWidget*>> row_;  // what else stands in its row
  QComboBox* plate_;
  std::vector<drivers::PlateChoice> plates_;  // as plate_ lists them
  QComboBox* point_;
  QLineEdit* mass_;
  QLineEdit* frequency_;
  QLineEdit* distance_;
  QLabel* now_;
  Notice* remark_;
  QTableWidget* table_;
};

}  // namespace moundwork::desk
