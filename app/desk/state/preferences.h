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

namespace moundwork::desk {

enum class SpeedUnit { metre_per_second, kilometre_per_hour, mile_per_hour };
enum class ForceUnit { newton, body_weight };
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

/// "36.4 ± 0.3": value and standard uncertainty in as many digits as the uncertainty bears (two of
/// the uncertainty, JCGM 100, 7.2.6); "not known" when NaN.
[[nodiscard]] QString measured_text(const Measured& measured);
/// A value of the catalogue in the user's units with its unit, by its key and SI unit: speeds and
/// forces are converted, times shown in ms, all others as they are.
[[nodiscard]] QString quantity_text(const std::string& key, const std::string& si_unit,
                                    const Measured& measured, const Preferences& preferences,
                                    double mass);

}  // namespace moundwork::desk
