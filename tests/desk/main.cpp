// SPDX-License-Identifier: GPL-3.0-or-later
#define CATCH_CONFIG_RUNNER
#include <QApplication>
#include <catch2/catch.hpp>

int main(int argc, char** argv) {
  if (!qEnvironmentVariableIsSet("QT_QPA_PLATFORM")) qputenv("QT_QPA_PLATFORM", "offscreen");
  // Window settings of whoever runs the tests stay untouched.
  QCoreApplication::setOrganizationName(QStringLiteral("moundwork-tests"));
  const QApplication application(argc, argv);
  return Catch::Session().run(argc, argv);
}
