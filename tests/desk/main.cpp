// SPDX-License-Identifier: GPL-3.0-or-later
#define CATCH_CONFIG_RUNNER
#include <QApplication>
#include <QSettings>
#include <QTemporaryDir>
#include <catch2/catch.hpp>

int main(int argc, char** argv) {
  if (!qEnvironmentVariableIsSet("QT_QPA_PLATFORM")) qputenv("QT_QPA_PLATFORM", "offscreen");
  // Window settings of whoever runs the tests stay untouched, and those of tests that run at the
  // same time too.
  const QTemporaryDir settings;
  if (!settings.isValid()) return 1;
  QSettings::setPath(QSettings::IniFormat, QSettings::UserScope, settings.path());
  QCoreApplication::setOrganizationName(QStringLiteral("moundwork-tests"));
  const QApplication application(argc, argv);
  return Catch::Session().run(argc, argv);
}
