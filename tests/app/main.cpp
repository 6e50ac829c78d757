// SPDX-License-Identifier: GPL-3.0-or-later
// Commands that draw or keep an index need an application object; it takes no screen.
#define CATCH_CONFIG_RUNNER
#include <QGuiApplication>
#include <catch2/catch.hpp>
#include <clocale>

int main(int argc, char** argv) {
  if (!qEnvironmentVariableIsSet("QT_QPA_PLATFORM")) qputenv("QT_QPA_PLATFORM", "offscreen");
  const QGuiApplication application(argc, argv);
  // As the program itself, which reads its options before there is an application.
  (void)std::setlocale(LC_NUMERIC, "C");
  return Catch::Session().run(argc, argv);
}
