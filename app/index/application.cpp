// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/application.h"

#include <QCoreApplication>

#include "core/base/program_locale.h"

namespace moundwork::index {

void ensure_application() {
  if (QCoreApplication::instance() != nullptr) return;
  // Qt keeps references to both until the application's end.
  static char name[] = "moundwork";
  static char* arguments[] = {name, nullptr};
  static int count = 1;
  static const QCoreApplication application(count, arguments);
  keep_program_locale();
}

}  // namespace moundwork::index
