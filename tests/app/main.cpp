// SPDX-License-Identifier: GPL-3.0-or-later
// Commands that draw or keep an index need an application object; it takes no screen.
#include <QGuiApplication>

#include "core/base/program_locale.h"
#include "run_tests.h"

int main(int argc, char** argv) {
  if (!qEnvironmentVariableIsSet("QT_QPA_PLATFORM")) qputenv("QT_QPA_PLATFORM", "offscreen");
  const QGuiApplication application(argc, argv);
  // As the program itself, which reads its options before there is an application.
  moundwork::keep_program_locale();
  return run_tests(argc, argv);
}
