// SPDX-License-Identifier: GPL-3.0-or-later
#include <QApplication>
#include <QSettings>
#include <QTemporaryDir>

#include "core/base/program_locale.h"
#include "run_tests.h"

int main(int argc, char** argv) {
  if (!qEnvironmentVariableIsSet("QT_QPA_PLATFORM")) qputenv("QT_QPA_PLATFORM", "offscreen");
  // Window settings of whoever runs the tests stay untouched, and those of tests that run at the
  // same time too.
  const QTemporaryDir settings;
  if (!settings.isValid()) return 1;
  QSettings::setPath(QSettings::IniFormat, QSettings::UserScope, settings.path());
  QCoreApplication::setOrganizationName(QStringLiteral("moundwork-tests"));
  const QApplication application(argc, argv);
  moundwork::keep_program_locale();
  return run_tests(argc, argv);
}
