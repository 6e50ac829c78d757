// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>
#include <array>

#include "app/desk/prepare/station_form.h"

class QComboBox;
class QDoubleSpinBox;
class QLabel;

namespace moundwork::desk {

/// The station's usual measures: a column each for back plate, lead plate and radar. Where several
/// plates serve a foot, its column is headed by a choice of them.
class StationFields : public QWidget {
  Q_OBJECT
 public:
  explicit StationFields(QWidget* parent = nullptr);

  /// Shows what the station says; null empties and closes every field.
  void show_station(const drivers::Station* station);
  /// Serial ports to choose from.
  void offer_ports(const QStringList& ports);

 Q_SIGNALS:
  void number_typed(moundwork::desk::FormColumn column, moundwork::desk::FormRow row, double value,
                    int plate);
  void port_typed(moundwork::desk::FormColumn column, const QString& line, int plate);
  void plate_chosen();  ///< in a column: show_station() shows its numbers

 private:
  void show_column(const drivers::Station* station, FormColumn column);
  void name_plates(const drivers::Station& station, FormColumn column);
  [[nodiscard]] int chosen(FormColumn column) const;

  std::array<QLabel*, form_column_count> headings_{};
  std::array<QComboBox*, form_column_count> plates_{};  // in a heading's place
  std::array<std::array<QDoubleSpinBox*, form_row_count>, form_column_count> numbers_{};
  std::array<QComboBox*, form_column_count> ports_{};
};

}  // namespace moundwork::desk
