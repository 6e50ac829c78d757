// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>
#include <map>
#include <string>
#include <thread>

#include "app/desk/jobs/jobs.h"
#include "app/desk/prepare/roster_import.h"
#include "app/desk/prepare/roster_model.h"
#include "app/desk/state/desk_state.h"
#include "core/people/id_uses.h"

class QComboBox;
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
  void preview(const std::filesystem::path& path, const RosterImport& import, int next_id);
  void look_for_namesakes();
  void remove_for_good();
  void set_sharing(bool group);
  void show_sharing();
  void give_turn();
  void show_current();
  [[nodiscard]] const RosterAthlete* current() const;

  DeskState& state_;
  Jobs& jobs_;
  RosterHistory& history_;
  RosterModel* model_;
  QStackedWidget* stack_;
  QLabel* greeting_;
  QLabel* steps_ = nullptr;  // of a new lab
  QTableView* table_;
  QLabel* consent_;
  QLabel* age_;
  QLabel* namesake_;
  Notice* remark_;
  QComboBox* sharing_;
  std::multimap<std::string, people::IdUse> id_uses_;  // in the lab's sessions
  QPushButton* turn_;
  QPushButton* remove_;
  std::jthread looking_;  // last, so that it has ended before the rest goes
};

}  // namespace moundwork::desk
