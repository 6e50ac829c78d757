// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/summary/application.h"

#include <QGuiApplication>

#include "core/base/program_locale.h"

namespace moundwork::summary {

void ensure_application() {
  if (QCoreApplication::instance() != nullptr) return;
  // Qt keeps references to them until the application's end.
  static char name[] = "moundwork";
  static char option[] = "-platform";
  static char platform[] = "offscreen";
  static char* arguments[] = {name, option, platform, nullptr};
  static int count = 3;
  // Without a login session Qt remarks on a missing runtime folder, which pages do not need.
  const auto before =
      qInstallMessageHandler([](QtMsgType, const QMessageLogContext&, const QString&) {});
  static const QGuiApplication application(count, arguments);
  qInstallMessageHandler(before);
  keep_program_locale();
}

}  // namespace moundwork::summary
