// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <QStringList>
#include <optional>
#include <string>

#include "core/base/result.h"
#include "drivers/station/station.h"

/// The usual of a station file as a form: a row a measure, a column an instrument; of a foot's
/// several plates one at a time. Each change is one changed value in the file's text.
namespace moundwork::desk {

enum class FormColumn { back_plate, lead_plate, radar };
enum class FormRow { x, y, z, length, width, fall, turn, rate, delay, delay_u };
inline constexpr int form_column_count = 3, form_row_count = 10;

struct FormRowWords {
  QString title;
  QString help;
  QString unit;  ///< in which the form shows and takes it
  int digits = 3;
  double least = 0.0, most = 0.0, step = 0.0;
};
[[nodiscard]] FormRowWords words_of(FormRow row);
[[nodiscard]] QString words_of(FormColumn column);

/// What stands before "plate" for those of a column, in the file's order: "second lead". None for
/// the radar.
[[nodiscard]] QStringList form_plates(const drivers::Station& station, FormColumn column);

// `plate`: which of form_plates(), where a column has several.

/// In the row's unit; nothing where the station has no such instrument or the instrument no such
/// measure.
[[nodiscard]] std::optional<double> form_number(const drivers::Station& station, FormColumn column,
                                                FormRow row, int plate = 0);
/// The file's text with that measure changed; `station` is what the text says now.
[[nodiscard]] Result<std::string> with_form_number(const std::string& text,
                                                   const drivers::Station& station,
                                                   FormColumn column, FormRow row, double value,
                                                   int plate = 0);

/// The instrument's port in one line (station_text.h).
[[nodiscard]] std::optional<std::string> form_port(const drivers::Station& station,
                                                   FormColumn column, int plate = 0);
[[nodiscard]] Result<std::string> with_form_port(const std::string& text,
                                                 const drivers::Station& station, FormColumn column,
                                                 const std::string& line, int plate = 0);

/// Plates under the back foot and those under the lead foot change places: the devices stay, the
/// roles are swapped.
[[nodiscard]] Result<std::string> with_roles_swapped(const std::string& text,
                                                     const drivers::Station& station);

}  // namespace moundwork::desk
