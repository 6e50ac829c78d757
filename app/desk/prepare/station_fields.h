// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>
#include <array>

#include "app/desk/prepare/station_form.h"

class QComboBox;
class QDoubleSpinBox;

namespace moundwork::desk {

/// The station's usual measures: a column each for back plate, lead plate and radar.
class StationFields : public QWidget {
  Q_OBJECT
 public:
  explicit StationFields(QWidget* parent = nullptr);

  /// Shows what the station says; null empties and closes every field.
  void show_station(const drivers::Station* station);
  /// Serial ports to choose from.
  void offer_ports(const QStringList& ports);

 Q_SIGNALS:
  void number_typed(moundwork::desk::FormColumn column, moundwork::desk::FormRow row, double value);
  void port_typed(moundwork::desk::FormColumn column, const QString& line);

 private:
  std::array<std::array<QDoubleSpinBox*, form_row_count>, form_column_count> numbers_{};
  std::array<QComboBox*, form_column_count> ports_{};
};

}  // namespace moundwork::desk
