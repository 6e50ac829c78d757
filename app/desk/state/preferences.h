// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QSettings>
#include <QString>
#include <QStringList>
#include <filesystem>
#include <string>

#include "app/desk/look/look.h"
#include "app/desk/state/day_pages.h"
#include "core/base/measured.h"
#include "core/definitions/shown_unit.h"

namespace moundwork::desk {

using definitions::ForceUnit;
using definitions::SpeedUnit;
enum class TemperatureUnit { celsius, fahrenheit };

/// What this user chose on this computer; kept between starts.
struct Preferences {
  SpeedUnit speed = SpeedUnit::metre_per_second;
  ForceUnit force = ForceUnit::body_weight;
  TemperatureUnit temperature = TemperatureUnit::celsius;
  Theme theme = Theme::system;
  /// Who signs edits: shown and stored with each.
  QString person;
  std::filesystem::path lab;           ///< folder of the lab's files
  std::filesystem::path last_session;  ///< reopened at the next start, also after a crash
  DayPage last_page = DayPage::prepare;

  [[nodiscard]] definitions::ChosenUnits units() const { return {speed, force}; }
};

/// Where choices and window states are kept: one small text file per user.
[[nodiscard]] QSettings settings_file();

[[nodiscard]] Preferences load_preferences();
/// Whether a lab folder was ever chosen here: one that is gone is then asked for, not made anew.
[[nodiscard]] bool knows_a_lab();
void save_preferences(const Preferences& preferences);

[[nodiscard]] QString unit_text(SpeedUnit unit);
/// Speed in m/s to the user's unit.
[[nodiscard]] double in_unit(double speed, SpeedUnit unit);
[[nodiscard]] QString unit_text(ForceUnit unit);
/// Force in N to the user's unit; `mass` of the athlete in kg. NaN in body weights without a mass.
[[nodiscard]] double in_unit(double force, ForceUnit unit, double mass);

/// "36.4 ± 0.3", as core/base/shown_number.h has it.
[[nodiscard]] QString measured_text(const Measured& measured);
/// The quantity that is shown where this one is asked for: a force in body weights is the one per
/// body weight (definitions::per_body_weight).
[[nodiscard]] definitions::Quantity shown_quantity(definitions::Quantity quantity,
                                                   const Preferences& preferences, double mass);
/// A value of the catalogue in the user's units with its unit, by its key and SI unit, as
/// core/definitions/shown_unit.h has it.
[[nodiscard]] QString quantity_text(const std::string& key, const std::string& si_unit,
                                    const Measured& measured, const Preferences& preferences,
                                    double mass);
/// The same without its uncertainty, to that one's first digit: "0.464 BW".
[[nodiscard]] QString short_quantity_text(const std::string& key, const std::string& si_unit,
                                          const Measured& measured, const Preferences& preferences,
                                          double mass);

}  // namespace moundwork::desk
