// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QAbstractTableModel>

#include "app/desk/prepare/roster_columns.h"
#include "app/desk/prepare/roster_history.h"
#include "app/desk/state/desk_state.h"

namespace moundwork::desk {

/// The roster as a table that is edited in place; every change goes through the history.
class RosterModel : public QAbstractTableModel {
  Q_OBJECT
 public:
  RosterModel(DeskState& state, RosterHistory& history, QObject* parent = nullptr);

  [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
  [[nodiscard]] int columnCount(const QModelIndex& parent = {}) const override;
  [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
  [[nodiscard]] QVariant headerData(int section, Qt::Orientation orientation,
                                    int role) const override;
  [[nodiscard]] Qt::ItemFlags flags(const QModelIndex& index) const override;
  bool setData(const QModelIndex& index, const QVariant& value, int role) override;

 Q_SIGNALS:
  void refused(const moundwork::Error& error);
  void taken();  ///< a cell was changed

 private:
  void take_up();

  DeskState& state_;
  RosterHistory& history_;
  std::vector<RosterAthlete> shown_;
};

}  // namespace moundwork::desk
