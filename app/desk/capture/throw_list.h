// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QAbstractTableModel>
#include <vector>

#include "app/desk/state/preferences.h"
#include "core/definitions/catalogue.h"
#include "core/session/edit_state.h"
#include "core/session/results.h"

namespace moundwork::desk {

/// The throws of a session as rows, the newest on top, whether found a moment ago or read from its
/// results. Holds no samples.
class ThrowList : public QAbstractTableModel {
  Q_OBJECT
 public:
  enum Column { number, time, speed, heel_toe, braking, timing, tags, remarks, column_count };
  using QAbstractTableModel::QAbstractTableModel;

  void clear();
  /// All anew, in order of time.
  void set_throws(std::vector<session::ResultThrow> throws);
  void add(const session::ResultThrow& thrown);
  /// What people have noted so far.
  void set_edits(const std::vector<session::Edit>& edits);
  void set_choices(const Preferences& preferences, double mass);

  /// Null for no such row.
  [[nodiscard]] const session::ResultThrow* at(int row) const;
  [[nodiscard]] session::EditState state(int row) const;
  [[nodiscard]] int row_of(int number) const;  ///< -1 for none

  [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
  [[nodiscard]] int columnCount(const QModelIndex& parent = {}) const override;
  [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
  [[nodiscard]] QVariant headerData(int section, Qt::Orientation orientation,
                                    int role) const override;

 private:
  [[nodiscard]] QString text(const session::ResultThrow& thrown, int row, int column) const;

  std::vector<session::ResultThrow> throws_;
  std::vector<session::Edit> edits_;
  Preferences preferences_;
  double mass_ = std::numeric_limits<double>::quiet_NaN();
};

/// NaN where the throw has none.
[[nodiscard]] Measured measured_of(const session::ResultThrow& thrown,
                                   definitions::Quantity quantity);

/// A quantity of a throw with its unit and uncertainty, as the user has chosen units.
[[nodiscard]] QString number_words(const session::ResultThrow& thrown,
                                   definitions::Quantity quantity, const Preferences& preferences,
                                   double mass);

}  // namespace moundwork::desk
