// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/preferences.h"

#include <QCoreApplication>
#include <QSettings>
#include <QStandardPaths>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/base/units.h"

namespace moundwork::desk {
namespace {

std::filesystem::path path_of(const QVariant& value) {
  return std::filesystem::path(value.toString().toStdU16String());
}

QString text_of(const std::filesystem::path& path) {
  return QString::fromStdU16String(path.u16string());
}

template <class Choice>
Choice choice_of(const QVariant& value, Choice most) {
  return static_cast<Choice>(std::clamp(value.toInt(), 0, static_cast<int>(most)));
}

}  // namespace

QSettings settings_file() {
  // Tests give an organisation of their own, so that the user's choices stay untouched.
  const QString owner = QCoreApplication::organizationName().isEmpty()
                            ? QStringLiteral("moundwork")
                            : QCoreApplication::organizationName();
  return {QSettings::IniFormat, QSettings::UserScope, owner, QStringLiteral("desk")};
}

Preferences load_preferences() {
  const QSettings file = settings_file();
  Preferences preferences;
  preferences.speed =
      choice_of(file.value(QStringLiteral("units/speed")), SpeedUnit::mile_per_hour);
  preferences.force =
      choice_of(file.value(QStringLiteral("units/force"), static_cast<int>(ForceUnit::body_weight)),
                ForceUnit::body_weight);
  preferences.temperature =
      choice_of(file.value(QStringLiteral("units/temperature")), TemperatureUnit::fahrenheit);
  preferences.theme = choice_of(file.value(QStringLiteral("look/theme")), Theme::dark);
  preferences.person =
      file.value(QStringLiteral("person"), qEnvironmentVariable("USER", QStringLiteral("desk")))
          .toString();
  const QString documents = QStandardPaths::writableLocation(QStandardPaths::DocumentsLocation);
  preferences.lab =
      path_of(file.value(QStringLiteral("lab"), documents + QStringLiteral("/Moundwork lab")));
  preferences.last_session = path_of(file.value(QStringLiteral("last/session")));
  preferences.last_page = choice_of(file.value(QStringLiteral("last/page")), DayPage::summaries);
  return preferences;
}

bool knows_a_lab() { return settings_file().contains(QStringLiteral("lab")); }

void save_preferences(const Preferences& preferences) {
  QSettings file = settings_file();
  file.setValue(QStringLiteral("units/speed"), static_cast<int>(preferences.speed));
  file.setValue(QStringLiteral("units/force"), static_cast<int>(preferences.force));
  file.setValue(QStringLiteral("units/temperature"), static_cast<int>(preferences.temperature));
  file.setValue(QStringLiteral("look/theme"), static_cast<int>(preferences.theme));
  file.setValue(QStringLiteral("person"), preferences.person);
  file.setValue(QStringLiteral("lab"), text_of(preferences.lab));
  file.setValue(QStringLiteral("last/session"), text_of(preferences.last_session));
  file.setValue(QStringLiteral("last/page"), static_cast<int>(preferences.last_page));
  // Written at once: what was open is known again after a crash.
  file.sync();
}

QString unit_text(SpeedUnit unit) {
  switch (unit) {
    case SpeedUnit::metre_per_second:
      return QStringLiteral("m/s");
    case SpeedUnit::kilometre_per_hour:
      return QStringLiteral("km/h");
    case SpeedUnit::mile_per_hour:
      return QStringLiteral("mph");
  }
  return {};
}

double in_unit(double speed, SpeedUnit unit) {
  switch (unit) {
    case SpeedUnit::metre_per_second:
      return speed;
    case SpeedUnit::kilometre_per_hour:
      return speed / mps_per_kmh;
    case SpeedUnit::mile_per_hour:
      return speed / mps_per_mph;
  }
  return speed;
}

QString unit_text(ForceUnit unit) {
  return unit == ForceUnit::newton ? QStringLiteral("N") : QStringLiteral("BW");
}

double in_unit(double force, ForceUnit unit, double mass) {
  return unit == ForceUnit::newton ? force : force / (mass * standard_gravity);
}

QString measured_text(const Measured& measured) {
  if (!measured.known()) return QStringLiteral("not known");
  int digits = 2;
  if (std::isfinite(measured.u) && measured.u > 0.0)
    digits = std::clamp(1 - static_cast<int>(std::floor(std::log10(measured.u))), 0, 5);
  QString text = QString::number(measured.value, 'f', digits);
  if (std::isfinite(measured.u))
    text += QStringLiteral(" ± ") + QString::number(measured.u, 'f', digits);
  return text;
}

QString quantity_text(const std::string& key, const std::string& si_unit, const Measured& measured,
                      const Preferences& preferences, double mass) {
  if (!measured.known()) return measured_text(measured);
  double factor = 1.0;
  QString unit = QString::fromStdString(si_unit);
  if (key == "ball_speed") {
    factor = in_unit(1.0, preferences.speed);
    unit = unit_text(preferences.speed);
  } else if (si_unit == "N") {
    factor = in_unit(1.0, preferences.force, mass);
    unit = unit_text(preferences.force);
  } else if (si_unit == "s") {
    factor = 1e3;
    unit = QStringLiteral("ms");
  } else if (si_unit == "rad") {
    factor = 180.0 / std::numbers::pi;
    unit = QStringLiteral("°");
  } else if (si_unit == "m^2") {
    factor = 1e4;
    unit = QStringLiteral("cm²");
  } else if (si_unit == "1") {
    factor = 100.0;
    unit = QStringLiteral("%");
  }
  return measured_text({measured.value * factor, measured.u * factor}) + u' ' + unit;
}

}  // namespace moundwork::desk
