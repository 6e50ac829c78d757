// SPDX-License-Identifier: GPL-3.0-or-later
// Commands that draw or keep an index need an application object; it takes no screen.
#define CATCH_CONFIG_RUNNER
#include <QGuiApplication>
#include <catch2/catch.hpp>

int main(int argc, char** argv) {
  if (!qEnvironmentVariableIsSet("QT_QPA_PLATFORM")) qputenv("QT_QPA_PLATFORM", "offscreen");
  const QGuiApplication application(argc, argv);
  return Catch::Session().run(argc, argv);
}
