// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/preferences.h"

#include <QCoreApplication>
#include <QFile>
#include <QSettings>
#include <QStandardPaths>
#include <algorithm>
#include <cmath>
#include <string_view>

#include "core/base/shown_number.h"

namespace moundwork::desk {
namespace {

std::filesystem::path path_of(const QVariant& value) {
  return std::filesystem::path(value.toString().toStdU16String());
}

QString text_of(const std::filesystem::path& path) {
  return QString::fromStdU16String(path.u16string());
}

QString qstring(std::string_view text) {
  return QString::fromUtf8(text.data(), static_cast<qsizetype>(text.size()));
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
  // Which athletes' session was open last, and where, is nobody else's business.
  QFile::setPermissions(file.fileName(), QFile::ReadOwner | QFile::WriteOwner);
}

QString unit_text(SpeedUnit unit) { return qstring(definitions::symbol(unit)); }

double in_unit(double speed, SpeedUnit unit) { return speed * definitions::factor_to(unit); }

QString unit_text(ForceUnit unit) { return qstring(definitions::symbol(unit)); }

double in_unit(double force, ForceUnit unit, double mass) {
  return force * definitions::factor_to(unit, mass);
}

QString measured_text(const Measured& measured) {
  return QString::fromStdString(moundwork::measured_text(measured));
}

definitions::Quantity shown_quantity(definitions::Quantity quantity, const Preferences& preferences,
                                     double mass) {
  if (preferences.force != ForceUnit::body_weight || !(mass > 0.0)) return quantity;
  return definitions::per_body_weight(quantity).value_or(quantity);
}

QString quantity_text(const std::string& key, const std::string& si_unit, const Measured& measured,
                      const Preferences& preferences, double mass) {
  return QString::fromStdString(
      definitions::shown_text(key, si_unit, measured, preferences.units(), mass));
}

QString short_quantity_text(const std::string& key, const std::string& si_unit,
                            const Measured& measured, const Preferences& preferences, double mass) {
  const definitions::ShownUnit shown =
      definitions::shown_unit(key, si_unit, preferences.units(), mass);
  const Measured value = shown.of(measured);
  if (!value.known()) return QString::fromStdString(not_known());
  // Its first digit only, where the uncertainty itself has two.
  const bool doubted = std::isfinite(value.u) && value.u > 0.0;
  return QString::fromStdString(
      with_unit(doubted ? rounded(value.value, 10.0 * value.u) : number_text(value.value, value.u),
                shown.unit));
}

}  // namespace moundwork::desk
