// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

#include "app/desk/jobs/jobs.h"
#include "app/desk/prepare/roster_import.h"
#include "app/desk/prepare/roster_model.h"
#include "app/desk/state/desk_state.h"

class QLabel;
class QPushButton;
class QStackedWidget;
class QTableView;

namespace moundwork::desk {

class Notice;

/// Who throws: the lab's athletes, and whose turn it is.
class RosterPanel : public QWidget {
  Q_OBJECT
 public:
  RosterPanel(DeskState& state, Jobs& jobs, RosterHistory& history, QWidget* parent = nullptr);

  /// Reads a file and shows what of it would come in; takes it over when that is accepted.
  void import_file(const std::filesystem::path& path);

 Q_SIGNALS:
  void wants_practice();
  void wants_station();  ///< from the greeting

 private:
  QWidget* make_greeting();
  void greet();
  void add();
  void remove();
  void choose_file();
  void preview(const RosterImport& import, const QString& name, const std::string& day);
  void give_turn();
  void show_current();
  [[nodiscard]] const RosterAthlete* current() const;

  DeskState& state_;
  Jobs& jobs_;
  RosterHistory& history_;
  RosterModel* model_;
  QStackedWidget* stack_;
  QLabel* greeting_;
  QTableView* table_;
  QLabel* consent_;
  QLabel* age_;
  Notice* remark_;
  QPushButton* turn_;
  QPushButton* remove_;
};

}  // namespace moundwork::desk
